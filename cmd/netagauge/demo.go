package main

import (
	"context"
	"fmt"
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

// The demonstration's scenario, invented; demo-scene in the phrasebook tells it.
const (
	demoTray = "tray-a4.jpg"
	// demoThickness stands for the invented trainee's caliper readings: the
	// rendered slices' true thicknesses to 0.1 mm.
	demoThickness = "1:3.8,2:3.6,3:4.2,4:3.8,5:5.0"
)

func runDemo(ctx context.Context, args []string, to *caller) (int, error) {
	f := newFlags("demo", demoHelp, to)
	dir := f.String("dir", "demo", "folder to write to")
	if err := to.parse(f, args); err != nil {
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
	o := checkOptions{caller: to, html: filepath.Join(*dir, "report.html"), picture: filepath.Join(*dir, "checked.jpg")}
	fmt.Fprintf(to.out, "%s\n\n", to.Word("demo-scene"))
	page, err := o.one(res, tray.Ticket.Standard, 1, to.out)
	if err != nil {
		return exitRefused, err
	}
	if err := o.finish(to.out, []report.Page{page}); err != nil {
		return exitUsage, err
	}
	fmt.Fprintln(to.out)
	to.say("demo-photo", photo)
	to.say("demo-picture", o.picture)
	to.say("demo-page", o.html)
	return exitPass, nil
}

// writeSamples writes the sample trays into a folder, making it.
func writeSamples(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return phrase.Because(err, "ran-no-folder")
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
