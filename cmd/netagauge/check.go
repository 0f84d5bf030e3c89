package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/see/photo"
	"netagauge/internal/tell/report"
	"netagauge/internal/work/inspect"
	"netagauge/internal/work/record"
	"netagauge/internal/work/worker"
)

const checkHelp = `Measure every slice in a photo of a tray and hold it against the house standard.

  netagauge check tray.jpg --species salmon --thickness 4.2
  netagauge check tray.jpg --species tuna --thickness 1:4.2,2:3.9 --html tray.html
  netagauge check tray.jpg --second moved.jpg --species tuna
  netagauge check tray.jpg --weight 1:11.8,2:12.4

Without a thickness no weight is given: one photo cannot see it. Two photos can:
leave the tray as it is and move the phone sideways by a hand's length or two.
Exit codes: 0 all pass, 1 a slice fails, 2 wrong usage, 3 a photo was refused or unreadable.
`

// checkOptions are the flags of check.
type checkOptions struct {
	ticketFlags
	second  string
	why     int
	json    bool
	csv     bool
	html    string
	picture string
}

func runCheck(ctx context.Context, args []string, out, errw io.Writer) (int, error) {
	var o checkOptions
	f := newFlags("check", checkHelp, out)
	o.register(f)
	f.StringVar(&o.second, "second", "", "second photo of the same tray from another place, instead of a thickness: both together show it")
	f.BoolVar(&o.json, "json", false, "write one JSON object a photo, one a line")
	f.BoolVar(&o.csv, "csv", false, "write CSV, one row a piece")
	f.IntVar(&o.why, "why", 0, "say where the weight interval of this piece number comes from")
	f.StringVar(&o.html, "html", "", "also write a page to this file")
	f.StringVar(&o.picture, "picture", "", "also write the annotated picture to this JPEG file (several photos: to this folder)")
	if err := parse(f, args); err != nil {
		return exitUsage, err
	}
	tray, err := o.tray(f)
	if err != nil {
		return exitUsage, err
	}
	return o.run(ctx, tray, f.Args(), out, errw)
}

// tray turns the flags into what every photo of the call shares: all but the
// first photo.
func (o *checkOptions) tray(f *pflag.FlagSet) (t record.Tray, err error) {
	switch {
	case f.NArg() == 0:
		return t, usagef("name a photo")
	case o.json && o.csv:
		return t, usagef("choose --json or --csv")
	}
	if err := distinct(f.Args()); err != nil {
		return t, err
	}
	if t.Second, err = o.secondPhoto(f.Args()); err != nil {
		return t, err
	}
	t.Ticket, err = o.fill()
	return t, err
}

// secondPhoto reads the second photo, where one is named.
func (o *checkOptions) secondPhoto(photos []string) (second record.Photo, err error) {
	switch {
	case o.second == "":
		return second, nil
	case len(photos) > 1:
		return second, usagef("--second belongs to one photo; check the trays one by one")
	case o.Sources() > 0 || o.profile != "":
		return second, usagef("choose --second or another way to tell the thickness")
	}
	if err := distinct([]string{photos[0], o.second}); err != nil {
		return second, err
	}
	data, err := photo.Read(o.second)
	if err != nil {
		return second, usageError{fmt.Errorf("the second photo: %w", err)}
	}
	return record.Bytes(o.second, data), nil
}

// distinct refuses a file that is named twice, by whatever path or link.
func distinct(paths []string) error {
	var seen []os.FileInfo
	for _, p := range paths {
		st, err := os.Stat(p)
		if err != nil {
			continue // the check itself says what is wrong with it
		}
		for _, o := range seen {
			if os.SameFile(o, st) {
				return usagef("%s is named twice", p)
			}
		}
		seen = append(seen, st)
	}
	return nil
}

// run checks the photos one after another, so that results come in the order
// they were named and memory holds one photo.
func (o *checkOptions) run(ctx context.Context, tray record.Tray, paths []string, out, errw io.Writer) (int, error) {
	begin, err := fenceIn(errw, o.html, o.picture)
	if err != nil {
		return exitRefused, err
	}
	code := exitPass
	var reports []piece.Tray
	var pages []report.Page
	for _, path := range paths {
		if err := begin(path); err != nil {
			return exitRefused, err
		}
		res, err := checkFile(ctx, tray, path)
		var mistake inspect.InputError
		if errors.As(err, &mistake) {
			return exitUsage, usageError{err}
		}
		if err != nil {
			return exitRefused, err
		}
		code = max(code, codeOf(res.Report, tray.Ticket.Standard))
		reports = append(reports, res.Report)
		if err := o.show(out, res.Report); err != nil {
			return exitRefused, err
		}
		if o.why > 0 && !o.json && !o.csv {
			if err := showBudget(out, res.Report, o.why); err != nil {
				return exitUsage, err
			}
		}
		if o.html == "" && o.picture == "" {
			continue
		}
		jpeg, err := res.Picture(tray.Ticket.Standard.Rice, 0)
		if err != nil {
			return exitRefused, err
		}
		pages = append(pages, report.Page{Report: res.Report, Picture: jpeg})
	}
	if err := o.finish(out, reports, pages); err != nil {
		return exitUsage, err
	}
	return code, nil
}

// checkFile reads and checks one photo; a file that cannot be read gives a
// refused report like one that cannot be decoded.
func checkFile(ctx context.Context, tray record.Tray, path string) (inspect.Result, error) {
	data, err := photo.Read(path)
	if err != nil {
		return inspect.Unreadable(path, tray.Ticket, err), ctx.Err()
	}
	tray.First = record.Bytes(path, data)
	return worker.Inspect(ctx, tray)
}

// codeOf is the exit code one report asks for.
func codeOf(r piece.Tray, s standard.Standard) int {
	if r.Status != piece.TrayMeasured {
		return exitRefused
	}
	if len(r.MeasuredPieces()) == 0 {
		return exitRefused // nothing measured is not everything passed
	}
	for _, p := range r.MeasuredPieces() {
		if !s.CountsAsPass(p.Verdict) {
			return exitFails
		}
	}
	return exitPass
}

// show writes what belongs to one photo as soon as it is measured.
func (o *checkOptions) show(out io.Writer, r piece.Tray) error {
	switch {
	case o.json:
		return report.JSON(out, r)
	case o.csv:
		return nil // one table, with the head once
	}
	return report.TextPhoto(out, report.ColourFor(out), r)
}

// finish writes what belongs to the whole call.
func (o *checkOptions) finish(out io.Writer, reports []piece.Tray, pages []report.Page) error {
	if o.csv {
		if err := report.CSV(out, reports...); err != nil {
			return err
		}
	}
	if !o.csv && !o.json {
		fmt.Fprintln(out, report.Caution())
	}
	if o.html != "" {
		if err := atomicfile.WriteTo(o.html, func(w io.Writer) error { return report.HTML(w, pages...) }); err != nil {
			return err
		}
	}
	if o.picture == "" {
		return nil
	}
	for _, p := range pages {
		if len(p.Picture) == 0 {
			continue
		}
		path := o.picture
		if st, err := os.Stat(path); len(pages) > 1 || err == nil && st.IsDir() {
			base := filepath.Base(p.Report.Photo.File)
			path = filepath.Join(path, strings.TrimSuffix(base, filepath.Ext(base))+".checked.jpg")
		}
		if err := atomicfile.Write(path, p.Picture); err != nil {
			return err
		}
	}
	return nil
}
