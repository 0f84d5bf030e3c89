package main

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/tell/report"
	"netagauge/internal/work/record"
	"netagauge/testdata/photos"
)

const demoHelp = `Write the sample trays and check one of them from photo to report.

  netagauge demo

The trays are rendered pictures; the school, the tray and the date are invented.
`

// The demonstration's scenario, invented.
const (
	demoScene = "Invented scenario: tray 07 of the morning class at the Harbour Lane knife school, 3 March. The photo is rendered."
	demoTray  = "tray-a4.jpg"
	// demoThickness stands for the invented trainee's caliper readings: the
	// rendered slices' true thicknesses to 0.1 mm.
	demoThickness = "1:3.8,2:3.6,3:4.2,4:3.8,5:5.0"
)

func runDemo(ctx context.Context, args []string, out, _ io.Writer) (int, error) {
	f := newFlags("demo", demoHelp, out)
	dir := f.String("dir", "demo", "folder to write to")
	if err := parse(f, args); err != nil {
		return exitUsage, err
	}
	if err := nothingElse(f); err != nil {
		return exitUsage, err
	}
	if err := writeSamples(*dir); err != nil {
		return exitUsage, err
	}
	tray := record.Tray{Ticket: ticket.Ticket{Standard: standard.Default(), Thickness: demoThickness}}
	photo := filepath.Join(*dir, demoTray)
	res, err := checkFile(ctx, tray, photo)
	if err != nil {
		return exitRefused, err
	}
	o := checkOptions{words: languageFlag{phrase.English()}, html: filepath.Join(*dir, "report.html"), picture: filepath.Join(*dir, "checked.jpg")}
	fmt.Fprintln(out, demoScene)
	fmt.Fprintln(out)
	page, err := o.one(res, tray.Ticket.Standard, 1, out, out)
	if err != nil {
		return exitRefused, err
	}
	if err := o.finish(out, out, []report.Page{page}); err != nil {
		return exitUsage, err
	}
	fmt.Fprintf(out, "\nThe tray as photographed:   %s\nThe tray as measured:       %s\nA page to print:            %s\n", photo, o.picture, o.html)
	return exitPass, nil
}

// writeSamples writes the sample trays into a folder, making it.
func writeSamples(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("make the folder for the samples: %w", err)
	}
	return fs.WalkDir(photos.Files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(name, ".jpg") {
			return err
		}
		data, err := photos.Files.ReadFile(name)
		if err != nil {
			return err
		}
		return atomicfile.Write(filepath.Join(dir, name), data)
	})
}
