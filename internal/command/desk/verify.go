package desk

import (
	"context"
	"errors"
	"fmt"
	"time"

	"netagauge/internal/command"
	"netagauge/internal/core/phrase"
	"netagauge/internal/see/printscale"
	"netagauge/internal/tell/report"
	"netagauge/internal/work/matprint"
)

// verifyPrint measures a known object on a mat, a bank card or the named coin,
// and keeps the print's scale for that mat.
func verifyPrint(ctx context.Context, path, coin string, to *command.Caller) (int, error) {
	if coin != "" {
		if _, err := printscale.Coin(coin); err != nil {
			return command.ExitUsage, command.MisuseOf(err)
		}
	}
	if err := command.OnDisk(path); err != nil {
		return command.ExitUsage, err
	}
	read, err := command.ReadPhoto(path)
	if err != nil {
		return command.ExitRefused, phrase.At(path, err)
	}
	m, end := command.Measurer(1)
	defer end()
	v, err := m.Print(ctx, read, coin)
	var refused matprint.RefusedError
	if errors.As(err, &refused) {
		if err := to.Words().TextPhoto(to.Out, report.ColourAuto.On(to.Out), refused.Report); err != nil {
			return command.ExitRefused, err
		}
	}
	if err != nil {
		return command.ExitRefused, phrase.At(read.Name, err)
	}
	return keepPrint(v, to)
}

func keepPrint(v printscale.Verified, to *command.Caller) (int, error) {
	path, err := command.PrintsFile()
	if err != nil {
		return command.ExitUsage, err
	}
	store, err := printscale.Load(path)
	if err != nil {
		return command.ExitUsage, err
	}
	store, kept := store.Learn(v, time.Now())
	if !kept {
		fmt.Fprintln(to.Out, to.Must(v.Says())+to.Word("ran-print-not-kept"))
		return command.ExitPass, nil
	}
	if err := store.Save(path); err != nil {
		return command.ExitUsage, err
	}
	fmt.Fprintln(to.Out, to.Must(v.Says())+to.Word("ran-print-kept", path))
	return command.ExitPass, nil
}
