// Package examine holds the exams of a data folder, and certificates, against their
// records, and sets exams up. It judges nothing: what an exam comes to is package exam.
package examine

import (
	"context"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/exam"
	"netagauge/internal/keep/book"
	"netagauge/internal/tell/handout"
	"netagauge/internal/tell/report"
)

// Held is an exam with its record, and what is wrong with it.
type Held struct {
	Name   string
	Exam   *exam.Exam // as far as it can be read; nil where it cannot
	Record []exam.Entry
	Wrong  error // nil where everything holds
}

// InBook are the exams of a record book, the latest first.
func InBook(ctx context.Context, b *book.Book) ([]Held, error) {
	const all = 1 << 30
	list, err := b.Exams(ctx, 0, all)
	if err != nil {
		return nil, err
	}
	var out []Held
	for _, l := range list {
		h := Held{Name: l.Name}
		if h.Exam, h.Record, h.Wrong = b.CheckExam(ctx, l.ID); errors.Is(h.Wrong, context.Canceled) {
			return nil, h.Wrong
		}
		out = append(out, h)
	}
	return out, nil
}

// InFile is the exam of a record as its page gives it out.
func InFile(path string) (Held, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return Held{}, phrase.At(path, err)
	}
	h := Held{Name: filepath.Base(path)}
	if err := json.Unmarshal(text, &h.Record); err != nil || len(h.Record) == 0 {
		return Held{}, phrase.Wrong("exam-no-record", path)
	}
	if h.Exam, h.Wrong = exam.Read(h.Record); h.Wrong == nil {
		h.Name = h.Exam.Task.Name
	}
	return h, nil
}

// Closed reports whether its results stand, and hold.
func (h Held) Closed() bool { return h.Wrong == nil && h.Exam.Closing != nil }

// Says is how it stands.
func (h Held) Says(l *phrase.Language) phrase.Text {
	acts := float64(len(h.Record))
	switch {
	case h.Wrong != nil:
		return phrase.Of("ran-exam-wrong").And(phrase.Telling(h.Wrong))
	case h.Exam.Closing == nil:
		return phrase.Of("ran-exam-open", acts)
	}
	passed := 0
	for _, r := range h.Exam.Closing.Results {
		if r.Passes {
			passed++
		}
	}
	day := h.Exam.Closed.Local().Format(l.Word("paper-day"))
	return phrase.Named("ran-exam-closed", day, h.head()).With(acts, float64(passed), float64(len(h.Exam.Closing.Results)))
}

func (h Held) head() string { return h.Record[len(h.Record)-1].Hash }

// agrees says whether what a certificate states, signed by a key, is what the exam
// came to.
func (h Held) agrees(stated handout.Stated, by string) (says phrase.Text, holds bool) {
	switch {
	case h.Wrong != nil:
		return phrase.Of("paper-record-wrong"), false
	case h.Exam.Closing == nil:
		return phrase.Of("paper-no-result", float64(stated.Number)), false
	}
	r, there := h.Exam.Result(stated.Number)
	switch {
	case !there:
		return phrase.Of("paper-no-result", float64(stated.Number)), false
	case by != h.Exam.Closing.Key:
		return phrase.Of("paper-other-key"), false
	case stated.Head != h.head():
		return phrase.Of("paper-other-head"), false
	}
	return phrase.Named("paper-holds", report.Printable(stated.Exam), handout.Outcome(r)).With(float64(stated.Number), float64(r.Good), float64(r.Of)), true
}
