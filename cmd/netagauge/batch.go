package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"sync"

	"github.com/mattn/go-isatty"
	"github.com/spf13/pflag"

	"netagauge/internal/keep/book"
	"netagauge/internal/tell/report"
	"netagauge/internal/work/board"
	"netagauge/internal/work/class"
	"netagauge/internal/work/inspect"
	"netagauge/internal/work/worker"
)

// batchOptions are what class and line share: how to check photos, and the
// record book.
type batchOptions struct {
	check    checkOptions
	book     string
	noRecord bool
}

func (o *batchOptions) register(f *pflag.FlagSet) {
	o.registerBook(f)
	f.BoolVar(&o.noRecord, "no-record", false, "keep nothing: no record book is opened")
	o.check.matter.register(f)
	f.StringVar(&o.check.standard, "standard", "", "house standard, a TOML file (built in: slices for nigiri)")
	f.BoolVar(&o.check.practice, "practice", false, "use the built-in standard for practice slices, slightly larger")
	f.Float64Var(&o.check.theta, "plan-angle", 0, "angle between the cut and the block's long axis in degrees, as cut (45 when not given)")
	f.Float64Var(&o.check.blockWidth, "block-width", 0, "width of the block the slices came from in mm, for the advice")
	f.Float64Var(&o.check.blockHeight, "block-height", 0, "height of the block in mm, for the advice")
	f.Float64Var(&o.check.sheet, "sheet", 0, "thickness of the clear sheet over the mat in mm")
}

func (o *batchOptions) registerBook(f *pflag.FlagSet) {
	f.StringVar(&o.book, "book", "", "record book, a file (default: netagauge/book.sqlite in the user's configuration folder)")
}

// input turns the flags into what every photo shares; what belongs to one tray
// cannot be told of many.
func (o *batchOptions) input(f *pflag.FlagSet) (inspect.Input, board.Asked, error) {
	m := o.check.matter
	switch {
	case m.trayWeight != "":
		return inspect.Input{}, board.Asked{}, usagef("a tray's weight belongs to one photo; give a --thickness here, or check that photo by itself")
	case strings.Contains(m.thickness, ":") || strings.Contains(m.layAngle, ":"):
		return inspect.Input{}, board.Asked{}, usagef("numbers by piece belong to one photo; give one for all here")
	}
	in, err := o.photoInput(f)
	if err != nil {
		return in, board.Asked{}, err
	}
	files, err := m.files()
	return in, board.Asked{
		Standard: in.Standard, Species: in.Matter.Species, Group: in.Matter.Group,
		Matter: m.told(), Cut: in.Cut, SheetMM: in.SheetMM, Files: files, Prints: in.Prints.Prints,
	}, err
}

// files are the hashes of the files that the slices' weight rests on, so that a
// changed file means another measurement.
func (m matterOptions) files() (map[string]string, error) {
	out := map[string]string{}
	for _, path := range []string{m.profile, m.speciesFile} {
		if path == "" {
			continue
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return nil, usageError{err}
		}
		out[filepath.Base(path)] = book.Hash(data)
	}
	return out, nil
}

// photoInput is what photos are checked with; where none are named, only what
// the charts need.
func (o *batchOptions) photoInput(f *pflag.FlagSet) (in inspect.Input, err error) {
	if f.NArg() > 0 {
		return o.check.input(f)
	}
	if o.check.practice && o.check.standard != "" {
		return in, usagef("choose --standard or --practice")
	}
	if in.Standard, err = loadStandard(o.check.standard, o.check.practice); err != nil {
		return in, usageError{err}
	}
	in.Matter, err = o.check.matter.matter(o.check.theta)
	return in, err
}

// told says in words what was told of the slices.
func (m matterOptions) told() string {
	var out []string
	for _, x := range []struct{ name, value, unit string }{
		{"thickness", m.thickness, " mm"}, {"density", m.density, " g/cm³"}, {"lay angle", m.layAngle, "°"}, {"knife step", m.pitch, " mm"}, {"profile", base(m.profile), ""},
		{"temperature", fmt.Sprintf("%g", m.temperature), " °C"},
	} {
		if x.value != "" {
			out = append(out, x.name+" "+x.value+x.unit)
		}
	}
	return strings.Join(out, ", ")
}

// base is the name of a file, nothing for none.
func base(path string) string {
	if path == "" {
		return ""
	}
	return filepath.Base(path)
}

// openBook opens the record book, or a temporary one that keeps nothing.
func (o *batchOptions) openBook(ctx context.Context) (*book.Book, error) {
	if o.noRecord {
		return book.Temporary(ctx)
	}
	path, err := o.bookPath()
	if err != nil {
		return nil, err
	}
	return book.Open(ctx, path)
}

// bookPath is the book's file; the folder of the default one is made.
func (o *batchOptions) bookPath() (string, error) {
	if o.book != "" {
		return o.book, nil
	}
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("the record book has no place of its own here (%w); name one with --book", err)
	}
	dir = filepath.Join(dir, "netagauge")
	return filepath.Join(dir, "book.sqlite"), os.MkdirAll(dir, 0o700)
}

// checkTray measures one tray for the book and draws a small annotated picture
// of it. It has no picture when no mat was found. A second photo tells the
// thickness in place of what in has.
func checkTray(ctx context.Context, in inspect.Input, p, second class.Photo) (report.Report, []byte, error) {
	in.Name, in.Data, in.Second = p.Name, p.Data, inspect.Second{Name: second.Name, Data: second.Data}
	return worker.Measure(ctx, in)
}

// programVersion tells one build of the program from another, so that results
// are never mixed: the module's version when the build has one, or else the
// hash of the program's file.
var programVersion = sync.OnceValue(func() string {
	info, ok := debug.ReadBuildInfo()
	if ok && info.Main.Version != "" && info.Main.Version != "(devel)" && !strings.Contains(info.Main.Version, "+dirty") {
		return info.Main.Version
	}
	path, err := os.Executable()
	if err != nil {
		return "devel"
	}
	f, err := os.Open(path)
	if err != nil {
		return "devel"
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "devel"
	}
	return "devel-" + hex.EncodeToString(h.Sum(nil))[:12]
})

// isTerminal reports whether a person watches w.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && isatty.IsTerminal(f.Fd()) && os.Getenv("TERM") != "dumb"
}
