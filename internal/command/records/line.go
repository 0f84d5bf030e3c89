package records

import (
	"cmp"
	"context"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"netagauge/internal/command"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/book"
	"netagauge/internal/work/class"
	"netagauge/internal/work/line"
)

const lineHelp = `Watch a line over time: keep spot checks and draw their control charts.

Keep the check just taken, one photo of a few slices. Its slices come first,
then what it means for the charts, then the charts:
  netagauge line check.jpg --line lunch --species tuna --thickness 4.5
Look at the charts, with what overweight costs:
  netagauge line --line lunch --species tuna --price 48 --report lunch-report
The charts of one cook or station:
  netagauge line --line lunch --species tuna --only "station 2"
Say what a signal was, so that it is known from then on:
  netagauge line --line lunch --remark "9: new knife"
Let a second photo, from another place, tell the thickness; .b before the ending
marks it:
  netagauge line check.jpg check.b.jpg --line lunch --species tuna

Exit codes speak of the checks just taken: 0 all pass, 1 a slice fails the
standard or a check gives a signal, 2 wrong usage, 3 a photo was refused or
unreadable. Without photos, 0 whatever the charts show.
`

// lineOptions are the flags of line.
type lineOptions struct {
	*command.Caller
	command.BatchOptions
	colour                               command.ColourFlag
	trays                                []class.Tray
	line, who, only, at, rules, report   string
	remarks                              []string
	json, csv, full                      bool
	base                                 int
	price                                float64
	shiftLength, shiftWidth, shiftWeight float64

	taken time.Time      // what at says
	said  map[int]string // remarks, by the check's number
}

func (o *lineOptions) flags() *pflag.FlagSet {
	f := command.NewFlags("line", lineHelp, o.Caller)
	f.StringVar(&o.line, "line", "line", "name of the line")
	f.StringVar(&o.who, "who", "", "cook or station, as you wish it shown")
	f.StringVar(&o.at, "at", "", "time of the check, such as \"2026-11-25 12:30\" (default: when the photo says it was taken, else the time of its file)")
	f.StringVar(&o.only, "only", "", "chart the checks of this cook or station only")
	f.StringArrayVar(&o.remarks, "remark", nil, "a `remark` on what the signals of a check were, as CHECK:REMARK; they are known from then on")
	f.BoolVar(&o.json, "json", false, "write the line as JSON")
	f.BoolVar(&o.csv, "csv", false, "write the line as CSV, one row for each measure and check")
	f.BoolVar(&o.full, "full", false, "CSV in full digits, not rounded")
	f.StringVar(&o.report, "report", "", "also write a page, its drawings, JSON and CSV to this folder")
	f.IntVar(&o.base, "base", 0, "how many first checks set the limits (default: all)")
	f.StringVar(&o.rules, "rules", "western-electric", "run rules for the means: western-electric or nelson")
	f.Float64Var(&o.price, "price", 0, "price of the fish per kg, for what overweight costs")
	f.Float64Var(&o.shiftLength, "shift-length", 0, "shift of the mean length in mm that should be seen (default: half the way from the aim to the limit)")
	f.Float64Var(&o.shiftWidth, "shift-width", 0, "the same for the width, mm")
	f.Float64Var(&o.shiftWeight, "shift-weight", 0, "the same for the weight, g")
	o.colour.Register(f)
	o.BatchOptions.Register(f)
	return f
}

// Line watches a line by spot checks.
func Line(ctx context.Context, args []string, to *command.Caller) (int, error) {
	o := lineOptions{Caller: to}
	f := o.flags()
	if err := to.Parse(f, args); err != nil {
		return command.ExitUsage, err
	}
	t, err := o.prepare(f)
	if err != nil {
		return command.ExitUsage, err
	}
	b, err := o.OpenBook(ctx)
	if err != nil {
		return command.ExitRefused, err
	}
	defer b.Close()
	text := o.Out
	if o.json || o.csv {
		text = io.Discard
	}
	code, taken, err := o.add(ctx, b, t, text)
	if err != nil {
		return command.ExitRefused, err
	}
	checks, err := o.checks(ctx, b)
	if err != nil {
		return command.ExitRefused, err
	}
	l := line.Of(o.line, checks, o.plan(t))
	l.Only, l.Fresh = o.only, slices.Collect(maps.Keys(taken))
	if err := o.show(l, taken); err != nil {
		return command.ExitRefused, err
	}
	return max(code, codeOfChecks(l, taken)), nil
}

// checks are those that are charted, after the remarks are kept.
func (o *lineOptions) checks(ctx context.Context, b *book.Book) ([]line.Check, error) {
	checks, err := line.Load(ctx, b, o.line, book.Span{})
	if err != nil {
		return nil, err
	}
	if len(checks) == 0 {
		known, err := b.Lines(ctx)
		switch {
		case err != nil:
			return nil, err
		case len(o.trays) > 0 || len(known) == 0:
			return nil, phrase.Wrong("ran-line-none", command.Quoted(o.line))
		}
		return nil, command.Misuse("use-no-line", command.Quoted(o.line), strings.Join(known, ", "))
	}
	if len(o.said) > 0 {
		if err := o.remark(ctx, b, checks); err != nil {
			return nil, err
		}
		if checks, err = line.Load(ctx, b, o.line, book.Span{}); err != nil {
			return nil, err
		}
	}
	of := line.By(checks, o.only)
	if len(of) == 0 {
		return nil, command.Misuse("use-line-only", command.Quoted(o.line), command.Quoted(o.only), strings.Join(line.Whose(checks), ", "))
	}
	return of, nil
}

// remark keeps what is said of checks, each by its number.
func (o *lineOptions) remark(ctx context.Context, b *book.Book, checks []line.Check) error {
	for n, says := range o.said {
		if n < 1 || n > len(checks) {
			return command.Misuse("use-line-check", command.Quoted(o.line), n, len(checks))
		}
		if err := b.AddRemark(ctx, o.line, book.Remark{Photo: checks[n-1].Photo, Who: o.who, Says: says}); err != nil {
			return err
		}
	}
	return nil
}

// readRemarks takes apart CHECK:REMARK.
func (o *lineOptions) readRemarks() error {
	o.said = map[int]string{}
	for _, r := range o.remarks {
		number, says, _ := strings.Cut(r, ":")
		n, err := strconv.Atoi(strings.TrimSpace(number))
		if err != nil || strings.TrimSpace(says) == "" {
			return command.Misuse("use-line-remark", command.Quoted(r))
		}
		o.said[n] = strings.TrimSpace(says)
	}
	return nil
}

func (o *lineOptions) prepare(f *pflag.FlagSet) (t ticket.Ticket, err error) {
	if err := cmp.Or(command.OnDisk(f.Args()...), command.Distinct(f.Args())); err != nil {
		return t, err
	}
	if o.trays, err = class.Pair(f.Args()); err != nil {
		return t, command.MisuseOf(err)
	}
	switch {
	case o.line == "":
		return t, command.Misuse("use-line-name")
	case o.json && o.csv:
		return t, command.Misuse("use-either", "--json", "--csv")
	case o.rules != "western-electric" && o.rules != "nelson":
		return t, command.Misuse("use-rules", command.Quoted(o.rules), "western-electric", "nelson")
	case o.base < 0 || o.base == 1:
		return t, command.Misuse("use-base", o.base)
	case !(o.price >= 0 && o.price <= 1e6):
		return t, command.Misuse("use-price", o.price)
	case f.NArg() == 0 && o.NoRecord:
		return t, command.Misuse("use-no-chart")
	case len(o.trays) != 1 && o.at != "":
		return t, command.Misuse("use-at")
	}
	for _, s := range []float64{o.shiftLength, o.shiftWidth, o.shiftWeight} {
		if !(s >= 0 && s <= 500) {
			return t, command.Misuse("use-shift", s)
		}
	}
	if o.at != "" {
		if o.taken, err = time.ParseInLocation("2006-01-02 15:04", o.at, time.Local); err != nil {
			return t, command.Misuse("use-time", command.Quoted(o.at))
		}
	}
	if t, err = o.Fill(); err != nil {
		return t, err
	}
	return t, cmp.Or(o.readRemarks(), command.OfOneTray(t, len(o.trays)))
}

// plan turns the flags into what is charted.
func (o *lineOptions) plan(t ticket.Ticket) line.ControlPlan {
	_, group := t.Fish()
	return line.ControlPlan{
		Standard: t.Standard, Group: group, Base: o.base, Nelson: o.rules == "nelson", PricePerKg: o.price, Facts: t.Facts(nil),
		Shifts: map[string]float64{"length": o.shiftLength, "width": o.shiftWidth, "weight": o.shiftWeight},
	}
}

func (o *lineOptions) show(l line.Line, taken map[int64]piece.Tray) error {
	var err error
	switch {
	case o.json:
		err = l.JSON(o.Out, taken)
	case o.csv:
		err = l.CSV(o.Out, o.full)
	default:
		err = l.Text(o.Out, o.Language)
	}
	if err != nil || o.report == "" {
		return err
	}
	page, err := l.Report(o.report, o.Language, o.full, taken)
	if err == nil && !o.json && !o.csv {
		o.Say("paper-report", page)
	}
	return err
}
