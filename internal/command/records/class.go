// Package records holds the commands whose results stay in the record book: classes,
// spot checks of a line, and the book itself.
package records

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"time"

	"netagauge/internal/command"
	"netagauge/internal/core/piece"

	"github.com/spf13/pflag"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/board"
	"netagauge/internal/keep/book"
	"netagauge/internal/tell/handout"
	"netagauge/internal/work/class"
)

const classHelp = `Measure, grade and report a class: a folder with the photos of its trays.

  netagauge class monday/ --roster roster.csv --species salmon --thickness 4 \
    --report monday-report

Whose tray it is: the label printed on the mat (netagauge mat --label), or else
the sub-folder, or else the file's name. The roster is a CSV with the columns
label and name, and minutes for the pace. What cannot be told is listed, not
guessed.

A second photo of a tray, taken from another place, tells the thickness of its
slices: name it like the first with .b before the ending, 7.jpg and 7.b.jpg. For
such a tray the second photo counts and not the --thickness (or --pitch, or
--profile), which is for trays with one photo, and for those whose second photo
cannot be used. The report says where the thickness of each slice comes from,
and why a second photo was not used.

Slices weighed one by one go into a file weights.csv in the folder, with the
columns photo, slice and grams: they weigh what the scale showed, the others by
their thickness. A file trays.csv, with the columns photo, species and
thickness, tells of trays that differ.

Stopped with Ctrl-C, the same command goes on where it stopped.

Exit codes: 0 all pass, 1 a slice fails, 2 wrong usage, 3 a photo was refused or
unreadable, or the class was stopped.
`

// classOptions are the flags of class.
type classOptions struct {
	*command.Caller
	command.BatchOptions
	json, full                    bool
	roster, session, date, report string
	minutes                       float64
	workers                       int
	notASlice, countIt            []string
}

// Class measures, grades and reports the trays of a class.
func Class(ctx context.Context, args []string, to *command.Caller) (int, error) {
	o := classOptions{Caller: to}
	f := command.NewFlags("class", classHelp, to)
	f.StringVar(&o.roster, "roster", "", "who is who, a CSV file with the columns label, name and, if you like, minutes")
	f.StringVar(&o.report, "report", "", "also write pages, PDF and tables to this folder")
	f.BoolVar(&o.json, "json", false, "write the class as JSON instead of text")
	f.BoolVar(&o.full, "full", false, "tables of the report in full digits, not rounded")
	f.StringVar(&o.session, "session", "", "name of the session in the record book (default: the folder's name)")
	f.StringVar(&o.date, "date", "", "day of a new session, such as 2026-11-25 (default: today)")
	f.Float64Var(&o.minutes, "minutes", 0, "minutes everybody took, where the roster has none; for the pace")
	f.StringArrayVar(&o.notASlice, "not-a-slice", nil, "leave a `piece` out, as FILE:PIECE:REASON; it stays so in the record book")
	f.StringArrayVar(&o.countIt, "count-it", nil, "count a `piece` as a slice, as FILE:PIECE:REASON")
	f.IntVar(&o.workers, "workers", runtime.NumCPU(), "trays in hand at once; each takes some 250 MB, one with a second photo up to twice that")
	o.BatchOptions.Register(f)
	if err := to.Parse(f, args); err != nil {
		return command.ExitUsage, err
	}
	return o.run(ctx, f)
}

func (o *classOptions) run(ctx context.Context, f *pflag.FlagSet) (int, error) {
	job, day, err := o.prepare(f)
	if err != nil {
		return command.ExitUsage, err
	}
	overrides, err := o.overrides(job.Trays)
	if err != nil {
		return command.ExitUsage, command.MisuseOf(err)
	}
	b, err := o.OpenBook(ctx)
	if err != nil {
		return command.ExitRefused, err
	}
	defer b.Close()
	ticket, err := b.Ticket(ctx, job.Ticket)
	if err != nil {
		return command.ExitRefused, err
	}
	m, end := command.Measurer(o.workers)
	defer end()
	job.Recorder = command.Recorder(b, m)
	if job.Run, err = b.Begin(ctx, o.session, day, ticket, job.Program); err != nil {
		return command.ExitRefused, err
	}
	outcomes, err := o.measure(ctx, job)
	if err != nil {
		return command.ExitRefused, err
	}
	return o.show(ctx, b, job, outcomes, overrides)
}

// prepare checks everything that can be wrong before a photo is opened.
func (o *classOptions) prepare(f *pflag.FlagSet) (job class.Job, day time.Time, err error) {
	fail := func(e error) (class.Job, time.Time, error) {
		return job, day, e
	}
	if st, err := os.Stat(f.Arg(0)); f.NArg() != 1 || err == nil && !st.IsDir() {
		return fail(command.Misuse("use-class-folder"))
	}
	if o.workers < 1 || o.workers > 64 {
		return fail(command.Misuse("use-workers", o.workers))
	}
	if !(o.minutes >= 0 && o.minutes <= 24*60) {
		return fail(command.Misuse("use-minutes", o.minutes))
	}
	day = time.Now()
	if o.date != "" {
		if day, err = time.Parse(time.DateOnly, o.date); err != nil {
			return fail(command.Misuse("use-date", command.Quoted(o.date)))
		}
	}
	job = class.Job{Folder: f.Arg(0), Workers: o.workers, Minutes: o.minutes, Language: o.Tag()}
	if job.Ticket, err = o.Fill(); err != nil {
		return fail(err)
	}
	if err := command.OfOneTray(job.Ticket, 0); err != nil {
		return fail(err)
	}
	if job.Trays, err = class.Trays(job.Folder); err != nil {
		return fail(command.MisuseOf(err))
	}
	if job.Told, err = class.LoadTold(job.Folder, job.Trays, job.Ticket); err != nil {
		return fail(command.MisuseOf(err))
	}
	if o.roster != "" {
		if job.Roster, err = class.LoadRoster(o.roster); err != nil {
			return fail(command.MisuseOf(err))
		}
	}
	if o.session == "" {
		whole, err := filepath.Abs(job.Folder)
		if err != nil {
			return fail(err)
		}
		o.session = filepath.Base(whole)
	}
	if o.report != "" {
		err = command.Folder(o.report)
	}
	return job, day, err
}

func (o *classOptions) overrides(trays []class.Tray) ([]board.FileOverride, error) {
	var files []string
	for _, t := range trays {
		files = append(files, t.File)
	}
	var out []board.FileOverride
	for _, kind := range []struct {
		name  string
		texts []string
	}{{piece.NotASlice, o.notASlice}, {piece.CountIt, o.countIt}} {
		for _, text := range kind.texts {
			d, err := board.ParseOverride(kind.name, text, files)
			if err != nil {
				return nil, err
			}
			out = append(out, d)
		}
	}
	return out, nil
}

// measure runs the photos and shows how far it is.
func (o *classOptions) measure(ctx context.Context, job class.Job) ([]class.Outcome, error) {
	p := class.NewProgress(o.Err, o.Language, command.IsTerminal(o.Err), len(job.Trays))
	done := 0
	job.Seen = func(x class.Outcome) {
		done++
		p.Seen(x)
	}
	outcomes, err := job.Do(ctx)
	p.Close()
	if errors.Is(err, context.Canceled) {
		if o.NoRecord {
			return nil, phrase.Wrong("ran-class-nothing", done, len(job.Trays))
		}
		return nil, phrase.Wrong("ran-class-stopped", done, len(job.Trays))
	}
	return outcomes, err
}

// show keeps the overrides, sums up the class and writes what was asked for.
func (o *classOptions) show(ctx context.Context, b *book.Book, job class.Job, outcomes []class.Outcome, overrides []board.FileOverride) (int, error) {
	entries, err := b.Entries(ctx, job.Run.ID)
	if err != nil {
		return command.ExitRefused, err
	}
	if err := board.KeepOverrides(ctx, b, entries, overrides); err != nil {
		return command.ExitUsage, command.MisuseOf(err)
	}
	sum, err := board.Load(ctx, b, job.Run)
	if err != nil {
		return command.ExitRefused, err
	}
	for _, x := range outcomes {
		if x.Err != nil {
			sum.Open = append(sum.Open, board.Open{File: x.File, Why: phrase.Telling(x.Err)})
		}
	}
	absent := sum.Missing(job.Roster.Names())
	papers := handout.Papers{Board: sum, Absent: absent, Words: o.Language, Pictures: handout.FromBook(ctx, b, o.Language, sum.Ticket.Standard.Rice)}
	tell := papers.Text
	if o.json {
		tell = func(w io.Writer) error { return handout.JSON(w, sum, absent) }
	}
	if err := tell(o.Out); err != nil {
		return command.ExitRefused, err
	}
	if o.report != "" {
		if err := papers.Write(o.report, o.full); err != nil {
			return command.ExitRefused, err
		}
		if !o.json {
			o.Say("paper-report", filepath.Join(o.report, "board.html"))
		}
	}
	return classCode(sum, entries, outcomes), nil
}

// classCode is the exit code a class asks for.
func classCode(b board.Board, entries []book.Entry, outcomes []class.Outcome) int {
	if slices.ContainsFunc(outcomes, func(x class.Outcome) bool { return x.Err != nil }) ||
		slices.ContainsFunc(entries, func(e book.Entry) bool { return e.Refused }) {
		return command.ExitRefused
	}
	code := command.ExitPass
	for _, t := range b.Trainees {
		if t.Count.Again > 0 || t.Count.Close > 0 && !b.Ticket.Standard.CountsAsPass(piece.Unsure) {
			code = command.ExitFails
		}
	}
	return code
}
