package main

import (
	"context"
	"errors"
	"fmt"
	"image"
	"image/draw"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"netagauge/internal/atomicfile"
	"netagauge/internal/coach"
	"netagauge/internal/inspect"
	"netagauge/internal/photo"
	"netagauge/internal/report"
	"netagauge/internal/standard"
	"netagauge/internal/weight"
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

// matterOptions say what lies on the tray; several commands share them.
type matterOptions struct {
	species, density, thickness, trayWeight, layAngle string
	speciesFile, profile, pitch                       string
	temperature                                       float64
}

func (o *matterOptions) register(f *pflag.FlagSet) {
	f.StringVar(&o.species, "species", "", "what lies on the tray (netagauge species lists the names)")
	f.StringVar(&o.density, "density", "", "density of the flesh in g/cm³, instead of the species' own")
	f.StringVar(&o.thickness, "thickness", "", "thickness in mm, for the tray (4.1) or by piece (1:4.2,2:3.9)")
	f.StringVar(&o.trayWeight, "tray-weight", "", "weight of all slices in the photo on a scale, in g, instead of a thickness")
	f.StringVar(&o.profile, "profile", "", "profile of weighed slices of this species and cutter, instead of a thickness (netagauge profile keeps one)")
	f.StringVar(&o.pitch, "pitch", "", "step of the knife along the block in mm, instead of a thickness, with --lay-angle and --plan-angle as cut")
	f.StringVar(&o.speciesFile, "species-file", "", "more species, a TOML file as netagauge species --help shows")
	f.StringVar(&o.layAngle, "lay-angle", "", "angle between blade and board in degrees, 90 upright, for the tray (35) or by piece (1:30,2:45)")
	f.Float64Var(&o.temperature, "temperature", weight.ColdHeld, "temperature of the fish in °C")
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
	case !(o.sheet >= 0 && o.sheet <= 5):
		return in, usagef("a sheet of %g mm is not clear film: give its thickness in mm, such as 0.1", o.sheet)
	case !(o.blockWidth >= 0 && o.blockWidth <= 300) || !(o.blockHeight >= 0 && o.blockHeight <= 150):
		return in, usagef("a block of %g × %g mm cannot be; give its width and height in mm", o.blockWidth, o.blockHeight)
	case o.theta != 0 && !(o.theta >= 5 && o.theta <= 90):
		return in, usagef("a plan angle of %g° cannot be; give 5 to 90", o.theta)
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
	in.SheetMM = o.sheet
	if in.Prints, err = loadPrints(); err != nil {
		return in, usageError{err}
	}
	in.Cut = coach.Cut{Theta: o.theta, BlockWidth: o.blockWidth, BlockHeight: o.blockHeight}
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

// matter resolves species, density and thickness; its errors are wrong usage.
func (o *matterOptions) matter(theta float64) (inspect.Matter, error) {
	m := inspect.Matter{Density: weight.UnknownFish()}
	if err := o.flesh(&m); err != nil {
		return m, usageError{err}
	}
	if err := o.source(&m, theta); err != nil {
		return m, usageError{err}
	}
	if o.layAngle != "" {
		l, err := weight.ParseLayAngle(o.layAngle)
		if err != nil {
			return m, usageError{err}
		}
		m.LayAngles = l
	}
	return m, nil
}

// flesh fills in the species and its density.
func (o *matterOptions) flesh(m *inspect.Matter) (err error) {
	if o.species != "" {
		table := weight.BuiltIn()
		if o.speciesFile != "" {
			own, err := weight.LoadTable(o.speciesFile)
			if err != nil {
				return err
			}
			table = table.With(own)
		}
		s, err := table.Find(o.species)
		if err != nil {
			return err
		}
		m.Species, m.Group = s.Name, s.Group
		if m.Density, err = s.Density(o.temperature); err != nil {
			return err
		}
	}
	if o.density != "" {
		m.Density, err = weight.ParseDensity(o.density)
	}
	return err
}

// source fills in where the thickness comes from: one of them, or none.
func (o *matterOptions) source(m *inspect.Matter, theta float64) (err error) {
	switch {
	case o.sources() > 1:
		return errors.New("choose one of --thickness, --tray-weight, --profile and --pitch")
	case o.thickness != "":
		m.Thickness, err = asSource(weight.ParseThickness(o.thickness))
	case o.trayWeight != "":
		m.Thickness, err = asSource(weight.ParseTrayWeight(o.trayWeight))
	case o.pitch != "":
		m.Thickness, err = o.pitchSource(theta)
	case o.profile != "":
		m.Thickness, err = o.profileSource(m.Species)
	}
	return err
}

// sources is how many ways to tell the thickness were given.
func (o *matterOptions) sources() (n int) {
	for _, v := range []string{o.thickness, o.trayWeight, o.profile, o.pitch} {
		if v != "" {
			n++
		}
	}
	return n
}

// asSource keeps a failed parse from becoming a source that is not nil.
func asSource[S weight.Source](s S, err error) (weight.Source, error) {
	if err != nil {
		return nil, err
	}
	return s, nil
}

// pitchSource needs one lay angle for all cuts; upright and 45° are taken where
// none was told.
func (o *matterOptions) pitchSource(theta float64) (weight.Source, error) {
	phi := 90.0
	if o.layAngle != "" {
		v, err := strconv.ParseFloat(o.layAngle, 64)
		if err != nil {
			return nil, errors.New("--pitch needs one --lay-angle for the whole tray")
		}
		phi = v
	}
	if theta == 0 {
		theta = coach.DefaultTheta
	}
	return asSource(weight.ParsePitch(o.pitch, theta, phi))
}

func (o *matterOptions) profileSource(species string) (weight.Source, error) {
	p, err := weight.LoadProfile(o.profile)
	if err != nil {
		return nil, err
	}
	if err := p.CheckFor(species); err != nil {
		return nil, err
	}
	return asSource(p.Fit())
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
