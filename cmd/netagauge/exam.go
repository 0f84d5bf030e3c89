package main

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"

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

func runExam(ctx context.Context, args []string, to *caller) (int, error) {
	var o examOptions
	f := newFlags("exam", examHelp, to)
	f.StringVar(&o.data, "data", "", "data folder of netagauge serve; it may be in use")
	f.StringVar(&o.record, "record", "", "a record as an exam's page gives it out (JSON), instead of a data folder")
	f.StringSliceVar(&o.check, "check", nil, "certificate (PDF) to hold against the record")
	f.StringVar(&o.export, "export", "", "write the record of each closed exam into this folder")
	if err := to.parse(f, args); err != nil {
		return exitUsage, err
	}
	if err := cmp.Or(nothingElse(f), o.usage()); err != nil {
		return exitUsage, err
	}
	exams, err := o.exams(ctx)
	if err != nil {
		return exitRefused, err
	}
	code := exitPass
	tell := func(name string, says phrase.Text, holds bool) {
		fmt.Fprint(to.out, terminal.Fold(report.Printable(name)+": "+to.Must(says)+"\n"))
		if !holds {
			code = exitFails
		}
	}
	for _, e := range exams {
		tell(e.name, e.says(to.Language), e.wrong == nil)
	}
	for _, path := range o.check {
		says, holds, err := checkPaper(path, exams)
		if err != nil {
			return exitRefused, phrase.At(path, err)
		}
		tell(filepath.Base(path), says, holds)
	}
	return code, o.write(exams)
}

func (o *examOptions) usage() error {
	switch {
	case (o.data == "") == (o.record == ""):
		return misuse("use-either", "--data", "--record")
	case o.export != "" && o.data == "":
		return misuse("use-export")
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

func (h held) says(l *phrase.Language) phrase.Text {
	acts := float64(len(h.record))
	switch {
	case h.wrong != nil:
		return phrase.Of("ran-exam-wrong").And(phrase.Telling(h.wrong))
	case h.exam.Closing == nil:
		return phrase.Of("ran-exam-open", acts)
	}
	passed := 0
	for _, r := range h.exam.Closing.Results {
		if r.Passes {
			passed++
		}
	}
	day := h.exam.Closed.Local().Format(l.Word("paper-day"))
	return phrase.Named("ran-exam-closed", day, h.head()).With(acts, float64(passed), float64(len(h.exam.Closing.Results)))
}

func (h held) head() string { return h.record[len(h.record)-1].Hash }

func (o *examOptions) exams(ctx context.Context) ([]held, error) {
	if o.record != "" {
		return recordIn(o.record)
	}
	path := filepath.Join(o.data, intake.BookFile)
	if _, err := os.Stat(path); err != nil {
		return nil, phrase.At(path, err)
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
		return nil, phrase.At(path, err)
	}
	h := held{name: filepath.Base(path)}
	if err := json.Unmarshal(text, &h.record); err != nil || len(h.record) == 0 {
		return nil, phrase.Wrong("exam-no-record", path)
	}
	if h.exam, h.wrong = exam.Read(h.record); h.wrong == nil {
		h.name = h.exam.Task.Name
	}
	return []held{h}, nil
}

// checkPaper says whether a certificate is as it was signed, and agrees with the
// record of its exam.
func checkPaper(path string, exams []held) (says phrase.Text, holds bool, err error) {
	pdf, err := os.ReadFile(path)
	if err != nil {
		return nil, false, err
	}
	content, by, err := signet.Signed(pdf)
	if err != nil {
		return phrase.Telling(err), false, nil
	}
	stated, found := handout.StatedIn(content)
	if !found {
		return phrase.Of("paper-of-nothing"), false, nil
	}
	for _, h := range exams {
		if h.exam != nil && h.exam.Task.Name == stated.Exam {
			says, holds = h.agrees(stated, by)
			return says, holds, nil
		}
	}
	return phrase.Named("paper-of-another", report.Printable(stated.Exam)), false, nil
}

func (h held) agrees(stated handout.Stated, by string) (phrase.Text, bool) {
	r, there := h.exam.Result(stated.Number)
	switch {
	case h.wrong != nil:
		return phrase.Of("paper-record-wrong"), false
	case h.exam.Closing == nil || !there:
		return phrase.Of("paper-no-result", float64(stated.Number)), false
	case by != h.exam.Closing.Key:
		return phrase.Of("paper-other-key"), false
	case stated.Head != h.head():
		return phrase.Of("paper-other-head"), false
	}
	return phrase.Named("paper-holds", report.Printable(stated.Exam), handout.Outcome(r)).With(float64(stated.Number), float64(r.Good), float64(r.Of)), true
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
