package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/see/printscale"
	"netagauge/internal/tell/report"
	"netagauge/internal/work/matprint"
)

// verifyPrint measures a known object on a mat, a bank card or the named coin,
// and keeps the print's scale for that mat.
func verifyPrint(ctx context.Context, path, coin string, to *caller) (int, error) {
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
		return exitRefused, phrase.At(path, err)
	}
	m, end := measurer(1)
	defer end()
	v, err := m.Print(ctx, read, coin)
	var refused matprint.RefusedError
	if errors.As(err, &refused) {
		if err := to.words().TextPhoto(to.out, report.ColourAuto.On(to.out), refused.Report); err != nil {
			return exitRefused, err
		}
	}
	if err != nil {
		return exitRefused, phrase.At(read.Name, err)
	}
	return keepPrint(v, to)
}

func keepPrint(v printscale.Verified, to *caller) (int, error) {
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
		fmt.Fprintln(to.out, to.Must(v.Says())+to.Word("ran-print-not-kept"))
		return exitPass, nil
	}
	if err := store.Save(path); err != nil {
		return exitUsage, err
	}
	fmt.Fprintln(to.out, to.Must(v.Says())+to.Word("ran-print-kept", path))
	return exitPass, nil
}
