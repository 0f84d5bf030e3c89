package board

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/grade"
	"netagauge/internal/keep/book"
)

// Load sums up one run of a session and looks back at the earlier sessions in
// the book.
func Load(ctx context.Context, b *book.Book, run book.Run) (Board, error) {
	out, err := load(ctx, b, run)
	if err != nil {
		return Board{}, err
	}
	if r, done, err := b.LastRepeat(ctx); err != nil {
		return Board{}, err
	} else if done {
		out.Repeat = &r
	}
	history, err := b.History(ctx, run.HeldOn)
	if err != nil {
		return Board{}, err
	}
	for _, past := range history {
		sameDayLater := past.HeldOn.Equal(run.HeldOn) && past.Session > run.Session
		if past.Session == run.Session || sameDayLater {
			continue
		}
		before, err := load(ctx, b, past)
		if err != nil {
			return Board{}, err
		}
		out.remember(before)
	}
	return out, nil
}

func load(ctx context.Context, b *book.Book, run book.Run) (Board, error) {
	out := Board{Session: run.Name, HeldOn: run.HeldOn}
	var err error
	if out.Ticket, err = b.TicketOf(ctx, run.ID); err != nil {
		return out, fmt.Errorf("session %q: %w", run.Name, err)
	}
	entries, err := out.entries(ctx, b, run)
	if err != nil {
		return out, err
	}
	minutes, err := b.Pace(ctx, run.Session)
	if err != nil {
		return out, err
	}
	byTrainee := map[string][]entry{}
	for _, e := range entries {
		if e.Trainee == "" {
			out.Open = append(out.Open, Open{e.File, e.Label, openReason(e)})
			continue
		}
		byTrainee[e.Trainee] = append(byTrainee[e.Trainee], e)
	}
	for name, theirs := range byTrainee {
		photos, trays := photosAndTrays(theirs)
		out.Trainees = append(out.Trainees, newTrainee(name, photos, trays, minutes[name], out.Ticket))
	}
	slices.SortFunc(out.Trainees, byName)
	out.sumUp()
	return out, nil
}

// thicknessFrom names the sources of the thicknesses in a report with the
// pieces they are for, and what is wrong with the second photo.
func thicknessFrom(r piece.Tray) string {
	numbers := map[string][]string{}
	for _, p := range r.MeasuredPieces() {
		from := cmp.Or(p.Thickness.Source, "unknown")
		numbers[from] = append(numbers[from], strconv.Itoa(p.Number))
	}
	var out []string
	for _, from := range slices.Sorted(maps.Keys(numbers)) {
		out = append(out, fmt.Sprintf("%s for %s", from, strings.Join(numbers[from], ", ")))
	}
	for _, p := range r.Problems {
		if p.Code == "second-photo" {
			out = append(out, p.Message+"; "+p.Remedy)
		}
	}
	return strings.Join(out, "; ")
}

// openReason says why a photo counts for nobody, and what is wrong with it.
func openReason(e entry) phrase.Text {
	if e.Refused {
		return e.Note.And(phrase.Named("note-refused", e.Problem))
	}
	return e.Note
}

// entries reads a run's photos, their reports and what people decided.
func (out *Board) entries(ctx context.Context, b *book.Book, run book.Run) ([]entry, error) {
	rows, err := b.Entries(ctx, run.ID)
	if err != nil {
		return nil, err
	}
	reports, err := b.Reports(ctx, run.ID)
	if err != nil {
		return nil, err
	}
	var all []entry
	for _, row := range rows {
		e := entry{Entry: row, report: reports[row.Result]}
		overrides, err := b.Overrides(ctx, row.Photo)
		if err != nil {
			return nil, err
		}
		if e.overrides, err = Overrides(e.report.Pieces, overrides); err != nil {
			out.Warnings = append(out.Warnings, fmt.Sprintf("%q: %v", row.File, err))
		}
		all = append(all, e)
	}
	return all, nil
}

// photosAndTrays turns a trainee's entries into what is shown and what is graded.
func photosAndTrays(entries []entry) (photos []Photo, trays []grade.Tray) {
	for _, e := range entries {
		t := grade.Tray{File: e.File, Overrides: e.overrides, Report: e.report}
		p := Photo{File: e.File, Result: e.Result, Problem: e.Problem, Refused: e.Refused, Missing: t.Missing()}
		if p.Pair = len(book.Hashes(e.Photo)) > 1; p.Pair {
			p.Thickness = thicknessFrom(e.report)
		}
		p.Slices = grade.Slices([]grade.Tray{t})
		for _, x := range e.report.Pieces {
			if !slices.ContainsFunc(p.Slices, func(s grade.Slice) bool { return s.Number == x.Number }) {
				p.Others = append(p.Others, Other{x.Number, string(x.State), e.overrides[x.Number].Reason})
			}
		}
		photos, trays = append(photos, p), append(trays, t)
	}
	return photos, trays
}

func (out *Board) sumUp() {
	out.Whole = Sizes{}
	for _, t := range out.Trainees {
		for key, values := range t.Sizes {
			out.Whole[key] = append(out.Whole[key], values...)
		}
	}
	out.Faults = shared(out.Trainees)
}

// remember adds an earlier session's grades to the class and its trainees.
func (out *Board) remember(before Board) {
	if mean, graded := before.MeanGrade(); graded {
		out.Past = append(out.Past, Past{before.Session, before.HeldOn, mean})
	}
	for _, t := range before.Trainees {
		percent, graded := t.Grade.Percent()
		i := slices.IndexFunc(out.Trainees, func(now Trainee) bool { return now.Name == t.Name })
		if i >= 0 && graded {
			out.Trainees[i].Past = append(out.Trainees[i].Past, Past{before.Session, before.HeldOn, percent})
		}
	}
}
