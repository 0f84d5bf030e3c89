package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"image"
	"image/draw"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/weight"
	"netagauge/internal/see/photo"
	"netagauge/internal/tell/report"
	"netagauge/internal/work/inspect"
)

const checkHelp = `Measure every slice in a photo of a tray and hold it against the house standard.

  netagauge check tray.jpg --species salmon --thickness 4.2
  netagauge check tray.jpg --species tuna --thickness 1:4.2,2:3.9 --html tray.html
  netagauge check tray.jpg --second moved.jpg --species tuna

Without a thickness no weight is given: one photo cannot see it. Two photos can:
leave the tray as it is and move the phone sideways by a hand's length or two.
Exit codes: 0 all pass, 1 a slice fails, 2 wrong usage, 3 a photo was refused or unreadable.
`

// checkOptions are the flags of check.
type checkOptions struct {
	matter                  matterOptions
	standard                string
	second                  string
	practice                bool
	theta                   float64
	blockWidth, blockHeight float64
	sheet                   float64
	why                     int
	json                    bool
	csv                     bool
	html                    string
	picture                 string
}

func runCheck(ctx context.Context, args []string, out, errw io.Writer) (int, error) {
	var o checkOptions
	f := newFlags("check", checkHelp, out)
	o.matter.register(f)
	f.StringVar(&o.second, "second", "", "second photo of the same tray from another place, instead of a thickness: both together show it")
	f.StringVar(&o.standard, "standard", "", "house standard, a TOML file (built in: slices for nigiri)")
	f.BoolVar(&o.practice, "practice", false, "use the built-in standard for practice slices, slightly larger")
	f.Float64Var(&o.theta, "plan-angle", 0, "angle between the cut and the block's long axis in degrees, as cut (45 when not given)")
	f.Float64Var(&o.blockWidth, "block-width", 0, "width of the block the slices came from in mm, for the advice")
	f.Float64Var(&o.blockHeight, "block-height", 0, "height of the block in mm, for the advice")
	f.Float64Var(&o.sheet, "sheet", 0, "thickness of the clear sheet over the mat in mm")
	f.BoolVar(&o.json, "json", false, "write one JSON object a photo, one a line")
	f.BoolVar(&o.csv, "csv", false, "write CSV, one row a piece")
	f.IntVar(&o.why, "why", 0, "say where the weight interval of this piece number comes from")
	f.StringVar(&o.html, "html", "", "also write a page to this file")
	f.StringVar(&o.picture, "picture", "", "also write the annotated picture to this JPEG file (several photos: to this folder)")
	if err := parse(f, args); err != nil {
		return exitUsage, err
	}
	in, err := o.input(f)
	if err != nil {
		return exitUsage, err
	}
	return o.run(ctx, in, f.Args(), out, errw)
}

// input turns the flags into what every photo of the call shares.
func (o *checkOptions) input(f *pflag.FlagSet) (inspect.Input, error) {
	var in inspect.Input
	switch {
	case f.NArg() == 0:
		return in, usagef("name a photo")
	case o.json && o.csv:
		return in, usagef("choose --json or --csv")
	case o.practice && o.standard != "":
		return in, usagef("choose --standard or --practice")
	}
	in.SheetMM = o.sheet
	in.Cut = coach.Cut{Theta: o.theta, BlockWidth: o.blockWidth, BlockHeight: o.blockHeight}
	if err := cmp.Or(weight.CheckSheet(in.SheetMM), in.Cut.Check()); err != nil {
		return in, usageError{err}
	}
	if err := distinct(f.Args()); err != nil {
		return in, err
	}
	if err := o.secondPhoto(&in, f.Args()); err != nil {
		return in, err
	}
	var err error
	if in.Standard, err = loadStandard(o.standard, o.practice); err != nil {
		return in, usageError{err}
	}
	if in.Prints, err = loadPrints(); err != nil {
		return in, usageError{err}
	}
	in.Matter, err = o.matter.matter(o.theta)
	return in, err
}

// secondPhoto reads the second photo, where one is named.
func (o *checkOptions) secondPhoto(in *inspect.Input, photos []string) (err error) {
	switch {
	case o.second == "":
		return nil
	case len(photos) > 1:
		return usagef("--second belongs to one photo; check the trays one by one")
	case o.matter.sources() > 0:
		return usagef("choose --second or another way to tell the thickness")
	}
	if err := distinct([]string{photos[0], o.second}); err != nil {
		return err
	}
	in.Second.Name = o.second
	if in.Second.Data, err = photo.Read(o.second); err != nil {
		return usageError{fmt.Errorf("the second photo: %w", err)}
	}
	return nil
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

func loadStandard(path string, practice bool) (standard.Standard, error) {
	switch {
	case path != "":
		return standard.Load(path)
	case practice:
		return standard.Practice(), nil
	}
	return standard.Default(), nil
}

// run checks the photos one after another, so that results come in the order
// they were named and memory holds one photo.
func (o *checkOptions) run(ctx context.Context, in inspect.Input, paths []string, out, errw io.Writer) (int, error) {
	code := exitPass
	var reports []report.Report
	var pages []report.Page
	for _, path := range paths {
		res, err := checkFile(ctx, in, path)
		var mistake inspect.InputError
		if errors.As(err, &mistake) {
			return exitUsage, usageError{err}
		}
		if err != nil {
			return exitRefused, err
		}
		code = max(code, codeOf(res.Report, in.Standard))
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
		jpeg, err := annotated(res, in.Standard)
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
func checkFile(ctx context.Context, in inspect.Input, path string) (inspect.Result, error) {
	in.Name = path
	data, err := photo.Read(path)
	if err != nil {
		return inspect.Unreadable(in, err), ctx.Err()
	}
	in.Data = data
	return inspect.Photo(ctx, in)
}

// codeOf is the exit code one report asks for.
func codeOf(r report.Report, s standard.Standard) int {
	if r.Status != report.Measured {
		return exitRefused
	}
	if len(r.MeasuredPieces()) == 0 {
		return exitRefused // nothing measured is not everything passed
	}
	for _, p := range r.MeasuredPieces() {
		if !s.CountsAsPass(standard.Verdict(p.Verdict)) {
			return exitFails
		}
	}
	return exitPass
}

// show writes what belongs to one photo as soon as it is measured.
func (o *checkOptions) show(out io.Writer, r report.Report) error {
	switch {
	case o.json:
		return report.JSON(out, r)
	case o.csv:
		return nil // one table, with the head once
	}
	return report.TextPhoto(out, report.ColourFor(out), r)
}

// finish writes what belongs to the whole call.
func (o *checkOptions) finish(out io.Writer, reports []report.Report, pages []report.Page) error {
	if o.csv {
		if err := report.CSV(out, reports...); err != nil {
			return err
		}
	}
	if !o.csv && !o.json {
		fmt.Fprintln(out, report.Caution)
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

// annotated draws the report on the upright mat; nil when no mat was found.
func annotated(res inspect.Result, s standard.Standard) ([]byte, error) {
	if res.Upright == nil {
		return nil, nil
	}
	base := image.NewRGBA(res.Upright.Rect)
	draw.Draw(base, base.Rect, res.Upright, image.Point{}, draw.Src)
	rice := report.Footprint{Length: s.Rice.Length, Width: s.Rice.Width, Corner: s.Rice.Corner}
	if err := report.Annotate(base, res.PxPerMM, res.Report, rice); err != nil {
		return nil, err
	}
	return report.EncodeJPEG(base)
}
