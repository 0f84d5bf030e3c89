package main

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/pflag"

	"netagauge/internal/command"
	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/settings"
	"netagauge/internal/tell/report"
	"netagauge/internal/tell/terminal"
	"netagauge/internal/work/examine"
)

const examHelp = `Hold the exams of a data folder, and certificates, against their records, or
set an exam up.

  netagauge exam --data kitchen
  netagauge exam --data kitchen --check exam-417.pdf
  netagauge exam --record exam-record.json --check exam-417.pdf
  netagauge exam --data kitchen --export records
  netagauge exam --data kitchen --set-up Autumn --instructor Mori \
    --species salmon --thickness 4 --trays 3 --slices 10 --minutes 30 --mark 80

An exam's record is a row of acts, each with a hash over itself and all before
it; a certificate states the last hash and is signed over every byte. So it
shows when an act, a measurement, the sealed standard, a name or a certificate
was changed afterwards. Whoever can write to the folder can make a new record
from the start: the certificates that were handed out, and copies of records
kept elsewhere, then tell. Nothing here has a legal meaning or licenses anybody.

An exam that is set up is sealed with the house standard of the folder, and
everybody on the folder's roster, or each --candidate, gets a number, which
only the candidate's own page shows. The instructor begins and closes it on
its page.

Exit codes: 0 everything holds, 1 something does not, 2 wrong usage, 3 a file
cannot be read, or the exam cannot be set up so.
`

// examOptions are the flags of exam.
type examOptions struct {
	data, record, export string
	check                []string
	examine.New
	standard string
	mark     float64 // percent
}

func (o *examOptions) register(f *pflag.FlagSet) {
	f.StringVar(&o.data, "data", "", "data folder of netagauge serve; it may be in use")
	f.StringVar(&o.record, "record", "", "a record as an exam's page gives it out (JSON), instead of a data folder")
	f.StringSliceVar(&o.check, "check", nil, "certificate (PDF) to hold against the record")
	f.StringVar(&o.export, "export", "", "write the record of each closed exam into this folder")
	f.StringVar(&o.Task.Name, "set-up", "", "name of an exam to set up")
	f.StringVar(&o.Instructor, "instructor", "", "who sets it up, as the record is to say")
	f.StringArrayVar(&o.Candidates, "candidate", nil, "who takes it, a name of the roster (default: everybody on it)")
	f.IntVar(&o.Task.Trays, "trays", 3, "trays of each candidate")
	f.IntVar(&o.Task.Slices, "slices", 10, "slices on each tray")
	f.Float64Var(&o.Task.Minutes, "minutes", 30, "minutes from the beginning to the last photo")
	f.Float64Var(&o.mark, "mark", 80, "pass mark: good slices, in percent")
	f.StringVar(&o.Told.Species, "species", "", "what is cut (netagauge species lists the names)")
	f.StringVar(&o.Told.Thickness, "thickness", "", "thickness in mm, where one is told for all trays")
	f.StringVar(&o.standard, "standard", "", "house standard, a TOML file, where the folder has none of its own")
}

func runExam(ctx context.Context, args []string, to *command.Caller) (int, error) {
	var o examOptions
	f := command.NewFlags("exam", examHelp, to)
	o.register(f)
	if err := to.Parse(f, args); err != nil {
		return command.ExitUsage, err
	}
	if err := cmp.Or(command.NothingElse(f), o.usage(f)); err != nil {
		return command.ExitUsage, err
	}
	if f.Changed("set-up") {
		return o.setUp(ctx, to)
	}
	exams, err := o.exams(ctx)
	if err != nil {
		return command.ExitRefused, err
	}
	code := command.ExitPass
	tell := func(name string, says phrase.Text, holds bool) {
		fmt.Fprint(to.Out, terminal.Fold(report.Printable(name)+": "+to.Must(says)+"\n"))
		if !holds {
			code = command.ExitFails
		}
	}
	for _, e := range exams {
		tell(e.Name, e.Says(to.Language), e.Wrong == nil)
	}
	for _, path := range o.check {
		says, holds, err := examine.Paper(path, exams)
		if err != nil {
			return command.ExitRefused, phrase.At(path, err)
		}
		tell(filepath.Base(path), says, holds)
	}
	if o.export == "" {
		return code, nil
	}
	return code, examine.WriteRecords(o.export, exams)
}

func (o *examOptions) usage(f *pflag.FlagSet) error {
	switch {
	case (o.data == "") == (o.record == ""):
		return command.Misuse("use-either", "--data", "--record")
	case o.export != "" && o.data == "":
		return command.Misuse("use-export")
	}
	if f.Changed("set-up") {
		switch {
		case o.data == "":
			return command.Misuse("use-data")
		case len(o.check) > 0 || o.export != "":
			return command.Misuse("use-set-up-alone")
		case o.Instructor == "":
			return command.Misuse("use-instructor")
		}
		return nil
	}
	for _, name := range []string{"instructor", "candidate", "trays", "slices", "minutes", "mark", "species", "thickness", "standard"} {
		if f.Changed(name) {
			return command.Misuse("use-set-up", "--"+name)
		}
	}
	return command.OnDisk(o.check...)
}

// book opens the record book of the data folder.
func (o *examOptions) book(ctx context.Context) (*book.Book, error) {
	path := filepath.Join(o.data, intake.BookFile)
	if _, err := os.Stat(path); err != nil {
		return nil, phrase.At(path, err)
	}
	return book.Open(ctx, path)
}

func (o *examOptions) exams(ctx context.Context) ([]examine.Held, error) {
	if o.record != "" {
		h, err := examine.InFile(o.record)
		return []examine.Held{h}, err
	}
	b, err := o.book(ctx)
	if err != nil {
		return nil, err
	}
	defer b.Close()
	return examine.InBook(ctx, b)
}

func (o *examOptions) setUp(ctx context.Context, to *command.Caller) (int, error) {
	var err error
	if o.Told.Standard, err = command.LoadStandard(o.standard, false); err != nil {
		return command.ExitUsage, err
	}
	b, err := o.book(ctx)
	if err != nil {
		return command.ExitRefused, err
	}
	defer b.Close()
	o.Task.Mark = o.mark / 100
	n, err := examine.SetUp(ctx, settings.InFolder(o.data), b, o.New)
	if err != nil {
		return command.ExitRefused, err
	}
	to.Say("ran-exam-set-up", report.Printable(o.Task.Name), float64(n))
	return command.ExitPass, nil
}
