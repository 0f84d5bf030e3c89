package desk

import (
	"context"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"

	"netagauge/internal/command"
	"netagauge/internal/core/atomicfile"
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

// Demo writes sample trays and checks one of them.
func Demo(ctx context.Context, args []string, to *command.Caller) (int, error) {
	f := command.NewFlags("demo", demoHelp, to)
	dir := f.String("dir", "demo", "folder to write to")
	if err := to.ParseOptions(f, args); err != nil {
		return command.ExitUsage, err
	}
	if err := writeSamples(*dir); err != nil {
		return command.ExitUsage, err
	}
	tray := record.Tray{Ticket: ticket.Ticket{Standard: standard.Default(), Thickness: demoThickness}}
	photo := filepath.Join(*dir, demoTray)
	res, err := checkFile(ctx, tray, photo)
	if err != nil {
		return command.ExitRefused, err
	}
	o := checkOptions{Caller: to, html: filepath.Join(*dir, "report.html"), picture: filepath.Join(*dir, "checked.jpg")}
	fmt.Fprintf(to.Out, "%s\n\n", to.Word("demo-scene"))
	page, err := o.one(res, tray.Ticket.Standard, 1, to.Out)
	if err != nil {
		return command.ExitRefused, err
	}
	if err := o.finish(to.Out, []report.Page{page}); err != nil {
		return command.ExitUsage, err
	}
	fmt.Fprintln(to.Out)
	to.Say("demo-photo", photo)
	to.Say("demo-picture", o.picture)
	to.Say("demo-page", o.html)
	return command.ExitPass, nil
}

// writeSamples writes the sample trays into a folder, making it.
func writeSamples(dir string) error {
	if err := command.Folder(dir); err != nil {
		return err
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
