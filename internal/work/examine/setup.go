package examine

import (
	"context"
	"slices"
	"strconv"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/exam"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/settings"
	"netagauge/internal/work/class"
)

// New is an exam to set up: its task, what is told of its trays, the instructor, and who
// takes it, everybody on the roster where nobody is named.
type New struct {
	Task       exam.Task
	Told       ticket.Ticket
	Instructor string
	Candidates []string
}

// SetUp seals a task in a kitchen's record and draws the candidates' numbers. Trays are
// held against the kitchen's own standard, where it has one, else the one that is told.
// It answers how many take the exam.
func SetUp(ctx context.Context, in settings.Texts, b *book.Book, n New) (candidates int, err error) {
	roster, err := readSetting(ctx, in, settings.Roster, class.ParseRoster)
	if err != nil {
		return 0, err
	}
	names := roster.Names()
	for i, c := range n.Candidates {
		if !slices.Contains(names, c) {
			return 0, phrase.Wrong("exam-not-on-roster", strconv.Quote(c))
		}
		if slices.Contains(n.Candidates[:i], c) {
			return 0, phrase.Wrong("use-twice", strconv.Quote(c))
		}
	}
	if len(n.Candidates) > 0 {
		names = n.Candidates
	}
	own, err := readSetting(ctx, in, settings.Standard, func(text string) (standard.Standard, error) { return standard.Parse([]byte(text)) })
	if err != nil {
		return 0, err
	}
	if own.Name != "" {
		n.Told.Standard = own
	}
	_, err = b.SealExam(ctx, n.Task, n.Told, n.Instructor, names)
	return len(names), err
}

// readSetting reads a text of the kitchen; one that is not there is the zero value.
func readSetting[T any](ctx context.Context, in settings.Texts, name string, parse func(string) (T, error)) (out T, err error) {
	text, err := settings.Text(ctx, in, name)
	if err != nil || text == "" {
		return out, err
	}
	if out, err = parse(text); err != nil {
		return out, phrase.At(name, err)
	}
	return out, nil
}
