package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"netagauge/internal/inspect"
	"netagauge/internal/printscale"
	"netagauge/internal/report"
	"netagauge/internal/standard"
)

// printsFile is where the verified scales of a kitchen's mats are kept. The
// environment's NETAGAUGE_PRINTS names another file.
func printsFile() (string, error) {
	if p := os.Getenv("NETAGAUGE_PRINTS"); p != "" {
		return p, nil
	}
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("find the folder for settings: %w", err)
	}
	return filepath.Join(dir, "netagauge", "prints.toml"), nil
}

// loadPrints reads the verified scales; where there is no folder for settings,
// there are none.
func loadPrints() (printscale.Store, error) {
	path, err := printsFile()
	if err != nil {
		return printscale.Store{}, nil
	}
	return printscale.Load(path)
}

// verifyPrint measures a card on a mat and keeps the print's scale for it.
func verifyPrint(ctx context.Context, photo string, out io.Writer) (int, error) {
	res, err := checkFile(ctx, inspect.Input{Standard: standard.Default()}, photo)
	if err != nil {
		return exitRefused, err
	}
	r := res.Report
	if r.Mat == nil || !res.Print.ByCard {
		if r.Status == report.Refused {
			if err := report.TextPhoto(out, report.ColourFor(out), r); err != nil {
				return exitRefused, err
			}
		}
		return exitRefused, fmt.Errorf("%s: no bank card is seen on the mat's field; lay one there, flat and whole, and photograph it from above", photo)
	}
	path, err := printsFile()
	if err != nil {
		return exitUsage, err
	}
	store, err := printscale.Load(path)
	if err != nil {
		return exitUsage, err
	}
	store = store.With(printscale.Record{
		Mat: inspect.MatKey(*r.Mat), Scale: res.Print.Scale, U: res.Print.U, Object: printscale.Card().Name, Day: time.Now().Format(time.DateOnly),
	})
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return exitUsage, err
	}
	if err := store.Save(path); err != nil {
		return exitUsage, err
	}
	fmt.Fprintf(out, "mat %s is printed at %.2f %% ± %.2f %%, by a bank card (ISO/IEC 7810 ID-1). Kept in %s; checks on this mat use it.\n",
		inspect.MatKey(*r.Mat), 100*res.Print.Scale, 100*res.Print.U, path)
	return exitPass, nil
}
