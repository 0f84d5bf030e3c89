package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/pflag"

	"netagauge/internal/command"
	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/settings"
	"netagauge/internal/tell/report"
	"netagauge/internal/tell/terminal"
	"netagauge/internal/work/examine"
)

const examHelp = `Hold the exams of a kitchen, and certificates, against their records, or set an
exam up.

  netagauge exam --data kitchen
  netagauge exam --data kitchen --check exam-417.pdf
  netagauge exam --record exam-record.json --check exam-417.pdf
  netagauge exam --data kitchen --export records
  netagauge exam --database postgres://netagauge@db/kitchen
  netagauge exam --data kitchen --set-up Autumn --instructor Mori \
    --species salmon --thickness 4 --trays 3 --slices 10 --minutes 30 --mark 80

An exam's record is a row of acts, each with a hash over itself and all before
it; a certificate states the last hash and is signed over every byte. So it
shows when an act, a measurement, the sealed standard, a name or a certificate
was changed afterwards. Whoever can write to it can make a new record
from the start: the certificates that were handed out, and copies of records
kept elsewhere, then tell. Nothing here has a legal meaning or licenses anybody.

An exam that is set up is sealed with the house standard of the kitchen, and
everybody on its roster, or each --candidate, gets a number, which only the
candidate's own page shows. The instructor begins and closes it on its page.

Exit codes: 0 everything holds, 1 something does not, 2 wrong usage, 3 a file
cannot be read, or the exam cannot be set up so.
`

// examOptions are the flags of exam.
type examOptions struct {
	data, database, site, record, export string
	check                                []string
	examine.New
	standard string
	mark     float64 // percent
}

func (o *examOptions) register(f *pflag.FlagSet) {
	f.StringVar(&o.data, "data", "", "data folder of netagauge serve; it may be in use")
	f.StringVar(&o.database, "database", "", "PostgreSQL server that keeps the record, in place of a data folder, as for netagauge serve")
	f.StringVar(&o.site, "site", kitchenAlone, "with --database, the site: netagauge sites lists them")
	f.StringVar(&o.record, "record", "", "a record as an exam's page gives it out (JSON), in place of a kitchen")
	f.StringSliceVar(&o.check, "check", nil, "a `certificate` (PDF) to hold against the record")
	f.StringVar(&o.export, "export", "", "write the record of each closed exam into this folder")
	f.StringVar(&o.Task.Name, "set-up", "", "name of an exam to set up")
	f.StringVar(&o.Instructor, "instructor", "", "who sets it up, as the record is to say")
	f.StringArrayVar(&o.Candidates, "candidate", nil, "who takes it, a `name` of the roster (default: everybody on it)")
	f.IntVar(&o.Task.Trays, "trays", 3, "trays of each candidate")
	f.IntVar(&o.Task.Slices, "slices", 10, "slices on each tray")
	f.Float64Var(&o.Task.Minutes, "minutes", 30, "minutes from the beginning to the last photo")
	f.Float64Var(&o.mark, "mark", 80, "pass mark: good slices, in percent")
	f.StringVar(&o.Told.Species, "species", "", "what is cut (netagauge species lists the names)")
	f.StringVar(&o.Told.Thickness, "thickness", "", "thickness in mm, where one is told for all trays")
	f.StringVar(&o.standard, "standard", "", "house standard, a TOML file, where the kitchen has none of its own")
}

func runExam(ctx context.Context, args []string, to *command.Caller) (int, error) {
	var o examOptions
	f := command.NewFlags("exam", examHelp, to)
	o.register(f)
	if err := to.ParseOptions(f, args); err != nil {
		return command.ExitUsage, err
	}
	if err := o.usage(f); err != nil {
		return command.ExitUsage, err
	}
	if f.Changed("set-up") {
		return o.setUp(ctx, to)
	}
	exams, err := o.exams(ctx)
	if err != nil {
		return command.ExitRefused, err
	}
	if len(exams) == 0 {
		to.Say("ran-no-exam")
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
	named := slices.DeleteFunc([]string{o.data, o.database, o.record}, func(s string) bool { return s == "" })
	switch {
	case len(named) != 1:
		return command.Misuse("use-exam-of")
	case o.record != "" && (o.export != "" || f.Changed("set-up")):
		return command.Misuse("use-export")
	case f.Changed("site") && o.database == "":
		return command.Misuse("use-database")
	}
	if f.Changed("set-up") {
		switch {
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

// examined is what of a kitchen an exam rests on.
type examined struct {
	book  *book.Book
	texts settings.Texts
	close func() error
}

// open opens it in the data folder or on the server, where it must be by now.
func (o *examOptions) open(ctx context.Context) (x examined, err error) {
	if o.database != "" {
		return o.onServer(ctx)
	}
	path := filepath.Join(o.data, intake.BookFile)
	if _, err := os.Stat(path); err != nil {
		return x, phrase.At(path, err)
	}
	x.texts = settings.InFolder(o.data)
	if x.book, err = book.Open(ctx, path); err == nil {
		x.close = x.book.Close
	}
	return x, err
}

func (o *examOptions) onServer(ctx context.Context) (x examined, err error) {
	server, err := database.Connect(ctx, o.database)
	if err != nil {
		return x, err
	}
	var also []io.Closer
	x.close = func() (err error) {
		for _, c := range also {
			err = errors.Join(err, c.Close())
		}
		server.Close()
		return err
	}
	defer func() {
		if err != nil {
			x.close()
		}
	}()
	var there bool
	err = server.Pool().QueryRow(ctx, `SELECT EXISTS (SELECT FROM information_schema.schemata WHERE schema_name = $1)`, schemaOf(o.site)).Scan(&there)
	switch {
	case err != nil:
		return x, database.Plain(err)
	case !there:
		return x, command.Misuse("use-no-site", command.Quoted(o.site))
	}
	at := server.Schema(schemaOf(o.site))
	kept, err := settings.OpenAt(ctx, at)
	if err != nil {
		return x, err
	}
	also = append(also, kept)
	x.texts = kept
	if x.book, err = book.OpenAt(ctx, at); err == nil {
		also = append(also, x.book)
	}
	return x, err
}

func (o *examOptions) exams(ctx context.Context) ([]examine.Held, error) {
	if o.record != "" {
		h, err := examine.InFile(o.record)
		return []examine.Held{h}, err
	}
	x, err := o.open(ctx)
	if err != nil {
		return nil, err
	}
	defer x.close()
	return examine.InBook(ctx, x.book)
}

func (o *examOptions) setUp(ctx context.Context, to *command.Caller) (int, error) {
	var err error
	if o.Told.Standard, err = command.LoadStandard(o.standard, false); err != nil {
		return command.ExitUsage, err
	}
	x, err := o.open(ctx)
	if err != nil {
		return command.ExitRefused, err
	}
	defer x.close()
	o.Task.Mark = o.mark / 100
	n, err := examine.SetUp(ctx, x.texts, x.book, o.New)
	if err != nil {
		return command.ExitRefused, err
	}
	to.Say("ran-exam-set-up", report.Printable(o.Task.Name), float64(n))
	return command.ExitPass, nil
}
