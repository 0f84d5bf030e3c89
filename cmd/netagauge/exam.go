package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/pflag"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/exam"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/signet"
	"netagauge/internal/tell/handout"
	"netagauge/internal/tell/report"
	"netagauge/internal/tell/terminal"
)

const examHelp = `Hold the exams of a data folder, and certificates, against their records.

  netagauge exam --data kitchen
  netagauge exam --data kitchen --check exam-417.pdf
  netagauge exam --record exam-record.json --check exam-417.pdf
  netagauge exam --data kitchen --export records

An exam's record is a row of acts, each with a hash over itself and all before
it; a certificate states the last hash and is signed over every byte. So it
shows when an act, a measurement, the sealed standard, a name or a certificate
was changed afterwards. Whoever can write to the folder can make a new record
from the start: the certificates that were handed out, and copies of records
kept elsewhere, then tell. Nothing here has a legal meaning or licenses anybody.

Exit codes: 0 everything holds, 1 something does not, 2 wrong usage, 3 a file
cannot be read.
`

// examOptions are the flags of exam.
type examOptions struct {
	data, record, export string
	check                []string
}

func runExam(ctx context.Context, args []string, out, _ io.Writer) (int, error) {
	var o examOptions
	f := newFlags("exam", examHelp, out)
	f.StringVar(&o.data, "data", "", "data folder of netagauge serve; it may be in use")
	f.StringVar(&o.record, "record", "", "a record as an exam's page gives it out (JSON), instead of a data folder")
	f.StringSliceVar(&o.check, "check", nil, "certificate (PDF) to hold against the record")
	f.StringVar(&o.export, "export", "", "write the record of each closed exam into this folder")
	if err := parse(f, args); err != nil {
		return exitUsage, err
	}
	if err := o.usage(f); err != nil {
		return exitUsage, err
	}
	exams, err := o.exams(ctx)
	if err != nil {
		return exitRefused, err
	}
	code := exitPass
	for _, e := range exams {
		fmt.Fprint(out, terminal.Fold(e.says()+"\n"))
		if e.wrong != nil {
			code = exitFails
		}
	}
	for _, path := range o.check {
		says, holds, err := checkPaper(path, exams)
		if err != nil {
			return exitRefused, err
		}
		fmt.Fprint(out, terminal.Fold(report.Printable(filepath.Base(path))+": "+says+"\n"))
		if !holds {
			code = exitFails
		}
	}
	return code, o.write(exams)
}

func (o *examOptions) usage(f *pflag.FlagSet) error {
	switch {
	case f.NArg() > 0:
		return usagef("there is nothing to do with %q; name a certificate with --check", f.Arg(0))
	case (o.data == "") == (o.record == ""):
		return usagef("name either the data folder (--data kitchen) or a record (--record exam-record.json)")
	case o.export != "" && o.data == "":
		return usagef("--export takes records out of a data folder; name it with --data")
	}
	return onDisk(o.check...)
}

// held is an exam with its record, and what is wrong with it.
type held struct {
	name   string
	exam   *exam.Exam // as far as it can be read; nil where it cannot
	record []exam.Entry
	wrong  error
}

func (h held) says() string {
	name := report.Printable(h.name)
	switch {
	case h.wrong != nil:
		return fmt.Sprintf("exam %s: does not hold: %v", name, h.wrong)
	case h.exam.Closing == nil:
		return fmt.Sprintf("exam %s: open, %d acts, whole so far", name, len(h.record))
	}
	passed := 0
	for _, r := range h.exam.Closing.Results {
		if r.Passes {
			passed++
		}
	}
	return fmt.Sprintf("exam %s: closed on %s, %d acts, whole; %d of %d passed; last hash %s", name, h.exam.Closed.Local().Format("2 January 2006"), len(h.record),
		passed, len(h.exam.Closing.Results), h.record[len(h.record)-1].Hash)
}

func (o *examOptions) exams(ctx context.Context) ([]held, error) {
	if o.record != "" {
		return recordIn(o.record)
	}
	path := filepath.Join(o.data, intake.BookFile)
	if _, err := os.Stat(path); err != nil {
		return nil, fmt.Errorf("%q is no data folder: %w", o.data, err)
	}
	b, err := book.Open(ctx, path)
	if err != nil {
		return nil, err
	}
	defer b.Close()
	const all = 1 << 30
	list, err := b.Exams(ctx, 0, all)
	if err != nil {
		return nil, err
	}
	var out []held
	for _, l := range list {
		h := held{name: l.Name}
		if h.exam, h.record, h.wrong = b.CheckExam(ctx, l.ID); errors.Is(h.wrong, context.Canceled) {
			return nil, h.wrong
		}
		out = append(out, h)
	}
	return out, nil
}

func recordIn(path string) ([]held, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	h := held{name: filepath.Base(path)}
	if err := json.Unmarshal(text, &h.record); err != nil || len(h.record) == 0 {
		return nil, fmt.Errorf("%q is no record of an exam; take it from the exam's page", path)
	}
	if h.exam, h.wrong = exam.Read(h.record); h.wrong == nil {
		h.name = h.exam.Task.Name
	}
	return []held{h}, nil
}

// checkPaper says whether a certificate is as it was signed, and agrees with the
// record of its exam.
func checkPaper(path string, exams []held) (says string, holds bool, err error) {
	pdf, err := os.ReadFile(path)
	if err != nil {
		return "", false, err
	}
	content, by, err := signet.Signed(pdf)
	if err != nil {
		return err.Error(), false, nil
	}
	stated, found := handout.StatedIn(content)
	if !found {
		return "it is signed, and no certificate of an exam", false, nil
	}
	for _, h := range exams {
		if h.exam != nil && h.exam.Task.Name == stated.Exam {
			says, holds = h.agrees(stated, by)
			return says, holds, nil
		}
	}
	return fmt.Sprintf("it is of the exam %s, of which there is no whole record here", report.Printable(stated.Exam)), false, nil
}

func (h held) agrees(stated handout.Stated, by string) (string, bool) {
	r, there := h.exam.Result(stated.Number)
	switch {
	case h.wrong != nil:
		return "it is as it was signed, and the record of its exam does not hold", false
	case h.exam.Closing == nil || !there:
		return fmt.Sprintf("the record has no result of number %d", stated.Number), false
	case by != h.exam.Closing.Key:
		return "another key signed it than the one that the exam was closed with", false
	case stated.Head != h.record[len(h.record)-1].Hash:
		return "it states another last hash than the record has: one of the two was made anew", false
	}
	word := phrase.English().Word(handout.Outcome(r))
	return fmt.Sprintf("holds: number %d of the exam %s, %d of %d slices good: %s", stated.Number, report.Printable(stated.Exam), r.Good, r.Of, word), true
}

// write puts the records of closed exams into a folder, as their pages give them out.
func (o *examOptions) write(exams []held) error {
	if o.export == "" {
		return nil
	}
	if err := os.MkdirAll(o.export, 0o700); err != nil {
		return err
	}
	for i, h := range exams {
		if h.wrong != nil || h.exam.Closing == nil {
			continue
		}
		var text bytes.Buffer
		if err := exam.WriteRecord(&text, h.record); err != nil {
			return err
		}
		if err := atomicfile.WritePrivate(filepath.Join(o.export, fmt.Sprintf("exam-%d.json", len(exams)-i)), text.Bytes()); err != nil {
			return err
		}
	}
	return nil
}
