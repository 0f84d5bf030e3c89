package board

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/book"
)

// Loader sums up sessions. It remembers the reports of the last one, and what each
// trainee came to, so that a board that is drawn anew reads only reports that are new
// and reckons anew only those whose photos changed.
type Loader struct {
	Book     *book.Book
	reports  map[int64]piece.Tray // by result
	trainees map[string]known     // by name
}

// known is what a trainee came to, from what from says.
type known struct {
	from string
	Trainee
}

// Load sums up one run of a session and looks back at the grades of the earlier
// sessions in the book.
func (l *Loader) Load(ctx context.Context, run book.Run) (Board, error) {
	out, err := l.load(ctx, run)
	if err != nil {
		return Board{}, err
	}
	if r, done, err := l.Book.LastRepeat(ctx); err != nil {
		return Board{}, err
	} else if done {
		out.Repeat = &r
	}
	if err := CatchUp(ctx, l.Book, run); err != nil {
		return Board{}, err
	}
	grades, err := l.Book.Grades(ctx, run, "")
	if err != nil {
		return Board{}, err
	}
	out.remember(grades)
	return out, nil
}

// Load is a Loader's, for once.
func Load(ctx context.Context, b *book.Book, run book.Run) (Board, error) {
	return (&Loader{Book: b}).Load(ctx, run)
}

// CatchUp keeps the grades of the sessions before a run that are not kept yet, or
// rest on what has changed since.
func CatchUp(ctx context.Context, b *book.Book, before book.Run) error {
	runs, err := b.Ungraded(ctx, before)
	if err != nil {
		return err
	}
	for _, run := range runs {
		past, err := (&Loader{Book: b}).load(ctx, run)
		if err != nil {
			return err
		}
		percent := map[string]float64{}
		for _, t := range past.Trainees {
			if p, graded := t.Grade.Percent(); graded {
				percent[t.Name] = p
			}
		}
		if err := b.KeepGrades(ctx, run, percent); err != nil {
			return err
		}
	}
	return nil
}

func (l *Loader) load(ctx context.Context, run book.Run) (Board, error) {
	b, out := l.Book, Board{Session: run.Name, HeldOn: run.HeldOn}
	var err error
	if out.Ticket, err = b.TicketOf(ctx, run.ID); err != nil {
		return out, phrase.At(run.Name, err)
	}
	entries, err := l.entries(ctx, run, &out)
	if err != nil {
		return out, err
	}
	again, err := b.CountedBefore(ctx, run)
	if err != nil {
		return out, err
	}
	for _, a := range again {
		out.Warnings = append(out.Warnings, phrase.Named("counted-before", strconv.Quote(a.File), a.Session, a.HeldOn.Format(time.DateOnly)))
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
	now := map[string]known{}
	for name, theirs := range byTrainee {
		k := l.trainee(run, name, theirs, minutes[name], out.Ticket)
		now[name], out.Trainees = k, append(out.Trainees, k.Trainee)
	}
	l.trainees = now
	slices.SortFunc(out.Trainees, byName)
	out.sumUp()
	return out, nil
}

// trainee sums up somebody's photos, or knows what they came to.
func (l *Loader) trainee(run book.Run, name string, theirs []entry, minutes float64, job ticket.Ticket) known {
	now := known{from: fmt.Sprint(run.ID, minutes)}
	for _, e := range theirs {
		now.from += fmt.Sprintf(" %d %q %v", e.Result, e.File, e.overrides)
	}
	if was := l.trainees[name]; was.from == now.from {
		return was
	}
	photos, trays := photosAndTrays(theirs)
	now.Trainee = newTrainee(name, photos, trays, minutes, job)
	return now
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
		return e.Note.And(phrase.Of("note-refused"), problem(e))
	}
	return e.Note
}

// entries reads a run's photos, their reports and what people decided.
func (l *Loader) entries(ctx context.Context, run book.Run, out *Board) ([]entry, error) {
	rows, err := l.Book.Entries(ctx, run.ID)
	if err != nil {
		return nil, err
	}
	if err := l.read(ctx, rows); err != nil {
		return nil, err
	}
	overrides, err := l.Book.OverridesIn(ctx, run.ID)
	if err != nil {
		return nil, err
	}
	var all []entry
	for _, row := range rows {
		e := entry{Entry: row, report: l.reports[row.Result]}
		if e.overrides, err = grade.Overrides(e.report.Pieces, overrides[book.Hashes(row.Photo)[0]]); err != nil {
			out.Warnings = append(out.Warnings, phrase.Telling(phrase.At(strconv.Quote(row.File), err)))
		}
		all = append(all, e)
	}
	return all, nil
}

// read makes the loader know the reports of these photos, and no others.
func (l *Loader) read(ctx context.Context, rows []book.Entry) error {
	known := map[int64]piece.Tray{}
	var missing []int64
	for _, row := range rows {
		if r, there := l.reports[row.Result]; there {
			known[row.Result] = r
		} else {
			missing = append(missing, row.Result)
		}
	}
	fresh, err := l.Book.Reports(ctx, missing)
	maps.Copy(known, fresh)
	l.reports = known
	return err
}

// problem says what is wrong with a photo; results of older programs have only the
// sentence that was kept.
func problem(e entry) phrase.Text {
	if e.Problem == "" {
		return nil
	}
	if ps := e.report.Problems; len(ps) > 0 && len(ps[0].Says) > 0 {
		return ps[0].Says.And(phrase.Of("paper-then"), ps[0].Cure)
	}
	return phrase.Named("as-kept", e.Problem)
}

// photosAndTrays turns a trainee's entries into what is shown and what is graded.
func photosAndTrays(entries []entry) (photos []Photo, trays []grade.Tray) {
	for _, e := range entries {
		t := grade.Tray{File: e.File, Overrides: e.overrides, Report: e.report}
		p := Photo{File: e.File, Result: e.Result, Problem: problem(e), Refused: e.Refused, Count: grade.Verdicts(t), Missing: t.Missing(), Facts: e.report.Facts}
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

// remember adds the grades of earlier sessions, oldest first, to the class and its
// trainees.
func (out *Board) remember(grades []book.Graded) {
	place := map[string]int{}
	for i, t := range out.Trainees {
		place[t.Name] = i
	}
	n := 0 // grades in the session that is summed up
	for i, g := range grades {
		if i == 0 || grades[i-1].Session != g.Session {
			out.Past, n = append(out.Past, Past{Session: g.Session, HeldOn: g.HeldOn}), 0
		}
		n++
		mean := &out.Past[len(out.Past)-1].Percent
		*mean += (g.Percent - *mean) / float64(n)
		if i, here := place[g.Trainee]; here {
			out.Trainees[i].Past = append(out.Trainees[i].Past, Past{g.Session, g.HeldOn, g.Percent})
		}
	}
}
