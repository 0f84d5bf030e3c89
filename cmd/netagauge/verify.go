package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"netagauge/internal/see/printscale"
	"netagauge/internal/tell/report"
	"netagauge/internal/work/matprint"
)

// verifyPrint measures a known object on a mat, a bank card or the named coin,
// and keeps the print's scale for that mat.
func verifyPrint(ctx context.Context, path, coin string, out io.Writer) (int, error) {
	if coin != "" {
		if _, err := printscale.Coin(coin); err != nil {
			return exitUsage, usageError{err}
		}
	}
	if err := onDisk(path); err != nil {
		return exitUsage, err
	}
	read, err := readPhoto(path)
	if err != nil {
		return exitRefused, fmt.Errorf("%s: %w", path, err)
	}
	m, end := measurer(1)
	defer end()
	v, err := m.Print(ctx, read, coin)
	var refused matprint.RefusedError
	if errors.As(err, &refused) {
		if err := english.TextPhoto(out, report.ColourAuto.On(out), refused.Report); err != nil {
			return exitRefused, err
		}
	}
	if err != nil {
		return exitRefused, fmt.Errorf("%s: %w", read.Name, err)
	}
	return keepPrint(v, out)
}

func keepPrint(v printscale.Verified, out io.Writer) (int, error) {
	path, err := printsFile()
	if err != nil {
		return exitUsage, err
	}
	store, err := printscale.Load(path)
	if err != nil {
		return exitUsage, err
	}
	store, kept := store.Learn(v, time.Now())
	if !kept {
		fmt.Fprintln(out, v, "100 % lies within that, so nothing is kept. A bank card tells more.")
		return exitPass, nil
	}
	if err := store.Save(path); err != nil {
		return exitUsage, err
	}
	fmt.Fprintf(out, "%s Kept in %s; checks on this mat use it.\n", v, path)
	return exitPass, nil
}
