package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/pflag"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/book"
	"netagauge/internal/tell/report"
	"netagauge/internal/work/class"
	"netagauge/internal/work/line"
	"netagauge/internal/work/worker"
)

const lineHelp = `Watch a line over time: keep spot checks and draw their control charts.

Keep the check just taken, one photo of a few slices, and look at the charts:
  netagauge line check.jpg --line lunch --species tuna --thickness 4.5
Look at the charts, with what overweight costs:
  netagauge line --line lunch --species tuna --price 48 --report lunch-report
Let a second photo, from another place, tell the thickness; .b before the ending
marks it:
  netagauge line check.jpg check.b.jpg --line lunch --species tuna

Exit codes: 0 no signal, 1 a chart gives a signal, 2 wrong usage, 3 a photo was
refused or unreadable.
`

// lineOptions are the flags of line.
type lineOptions struct {
	batchOptions
	trays                                []class.Tray
	line, who, at, rules, report         string
	base                                 int
	price                                float64
	shiftLength, shiftWidth, shiftWeight float64
}

func runLine(ctx context.Context, args []string, out, errw io.Writer) (int, error) {
	var o lineOptions
	f := newFlags("line", lineHelp, out)
	f.StringVar(&o.line, "line", "line", "name of the line")
	f.StringVar(&o.who, "who", "", "cook or station, as you wish it shown")
	f.StringVar(&o.at, "at", "", "time of the check, such as \"2026-11-25 12:30\" (default: that of the photo's file)")
	f.StringVar(&o.report, "report", "", "also write a page and its drawings to this folder")
	f.IntVar(&o.base, "base", 0, "how many first checks set the limits (default: all)")
	f.StringVar(&o.rules, "rules", "western-electric", "run rules for the means: western-electric or nelson")
	f.Float64Var(&o.price, "price", 0, "price of the fish per kg, for what overweight costs")
	f.Float64Var(&o.shiftLength, "shift-length", 0, "shift of the mean length in mm that should be seen (default: half the way from the aim to the limit)")
	f.Float64Var(&o.shiftWidth, "shift-width", 0, "the same for the width, mm")
	f.Float64Var(&o.shiftWeight, "shift-weight", 0, "the same for the weight, g")
	o.register(f)
	if err := parse(f, args); err != nil {
		return exitUsage, err
	}
	t, err := o.prepare(f)
	if err != nil {
		return exitUsage, err
	}
	b, err := o.openBook(ctx)
	if err != nil {
		return exitRefused, err
	}
	defer b.Close()
	code, err := o.add(ctx, b, t, errw)
	if err != nil {
		return exitRefused, err
	}
	checks, err := line.Load(ctx, b, o.line, book.Span{})
	if err != nil {
		return exitRefused, err
	}
	if len(checks) == 0 {
		return exitRefused, fmt.Errorf("the record book has no spot check of line %q", o.line)
	}
	shown, err := o.show(line.Of(o.line, checks, o.plan(t)), out)
	return max(code, shown), err
}

func (o *lineOptions) prepare(f *pflag.FlagSet) (t ticket.Ticket, err error) {
	if err := cmp.Or(onDisk(f.Args()...), distinct(f.Args())); err != nil {
		return t, err
	}
	if o.trays, err = class.Pair(f.Args()); err != nil {
		return t, usageError{err}
	}
	switch {
	case o.line == "":
		return t, usagef("give the line a name")
	case o.rules != "western-electric" && o.rules != "nelson":
		return t, usagef("%q are no run rules; choose western-electric or nelson", o.rules)
	case o.base < 0 || o.base == 1:
		return t, usagef("%d checks cannot set limits; it takes two", o.base)
	case !(o.price >= 0 && o.price <= 1e6):
		return t, usagef("a price of %g per kg cannot be", o.price)
	case f.NArg() == 0 && o.noRecord:
		return t, usagef("without photos and without a record book there is nothing to chart")
	case len(o.trays) != 1 && o.at != "":
		return t, usagef("--at is the time of one check; name one photo, or two of one tray")
	}
	for _, s := range []float64{o.shiftLength, o.shiftWidth, o.shiftWeight} {
		if !(s >= 0 && s <= 500) {
			return t, usagef("a shift of %g cannot be", s)
		}
	}
	if t, err = o.fill(); err != nil {
		return t, err
	}
	return t, ofOneTray(t, len(o.trays))
}

// plan turns the flags into what is charted.
func (o *lineOptions) plan(t ticket.Ticket) line.ControlPlan {
	_, group := t.Fish()
	return line.ControlPlan{
		Standard: t.Standard, Group: group, Base: o.base, Nelson: o.rules == "nelson", PricePerKg: o.price,
		Shifts: map[string]float64{"length": o.shiftLength, "width": o.shiftWidth, "weight": o.shiftWeight},
	}
}

// add measures photos and keeps them as checks of the line. A photo that is
// refused is said so and not kept.
func (o *lineOptions) add(ctx context.Context, b *book.Book, t ticket.Ticket, errw io.Writer) (int, error) {
	code := exitPass
	m, end := measurer(1)
	defer end()
	for i, tray := range o.trays {
		err := o.addOne(ctx, b, m, t, tray, errw)
		if ctx.Err() != nil {
			return exitRefused, fmt.Errorf("stopped; %d of %d photos were looked at, and what they gave is kept. The same command goes on from there", i, len(o.trays))
		}
		var refused refusedError
		if errors.As(err, &refused) {
			fmt.Fprintf(errw, "netagauge line: not kept: %v\n", err)
			code = exitRefused
			continue
		}
		if err != nil {
			return exitRefused, err
		}
	}
	return code, nil
}

// refusedError is one photo that cannot be a check; others go on.
type refusedError struct{ error }

func (o *lineOptions) addOne(ctx context.Context, b *book.Book, m worker.Measurer, t ticket.Ticket, files class.Tray, errw io.Writer) error {
	path := files.File
	tray, err := readTray(files, t)
	if err != nil {
		return refusedError{err}
	}
	at, err := o.time(path)
	if err != nil {
		return err
	}
	kept, err := recorder(b, m).Record(ctx, tray)
	if err != nil {
		return err
	}
	if kept.Report.Status != piece.TrayMeasured {
		return refusedError{refusal(path, kept.Report)}
	}
	added, err := b.AddSpotCheck(ctx, book.SpotCheck{Result: kept.ID, Line: o.line, Who: o.who, File: filepath.Base(path), CheckedAt: at})
	if err == nil && !added {
		fmt.Fprintf(errw, "netagauge line: %s is a check of line %q already; it counts once\n", report.Printable(path), o.line)
	}
	return err
}

// time is when a check was taken.
func (o *lineOptions) time(path string) (time.Time, error) {
	if o.at != "" {
		t, err := time.ParseInLocation("2006-01-02 15:04", o.at, time.Local)
		if err != nil {
			return t, usagef("%q is no time; write it as \"2026-11-25 12:30\"", o.at)
		}
		return t, nil
	}
	return takenAt(path)
}

func (o *lineOptions) show(l line.Line, out io.Writer) (int, error) {
	if err := l.Text(out); err != nil {
		return exitRefused, err
	}
	if o.report != "" {
		if err := writeLine(o.report, l); err != nil {
			return exitRefused, err
		}
		fmt.Fprintf(out, "report: %s\n", filepath.Join(o.report, "line.html"))
	}
	if l.Signals() {
		return exitFails, nil
	}
	return exitPass, nil
}

// writeLine writes the page and each drawing as a file of its own.
func writeLine(dir string, l line.Line) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("make the folder of the report: %w", err)
	}
	if err := atomicfile.WriteTo(filepath.Join(dir, "line.html"), l.HTML); err != nil {
		return err
	}
	for _, m := range l.Measures {
		figs, err := m.Figures(phrase.English())
		if err != nil {
			return err
		}
		for i, f := range figs {
			svg, err := f.SVG()
			if err != nil {
				return err
			}
			if err := atomicfile.Write(filepath.Join(dir, m.Name+[]string{"-mean", "-s"}[i]+".svg"), svg); err != nil {
				return err
			}
		}
	}
	return nil
}
