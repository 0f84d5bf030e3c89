// Package board sums up a class from the record book: who cut how many slices,
// how many pass, how even they are, the grade, how it compares with last time,
// and the faults that many share. Lengths are in mm, weights in g, shares from 0
// to 1. It lays out no page and measures nothing.
package board

import (
	"cmp"
	"slices"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/repeat"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/book"
)

// Board is one session.
type Board struct {
	Session  string
	HeldOn   time.Time
	Ticket   ticket.Ticket // what the photos were measured with and held against
	Trainees []Trainee     // by name
	Open     []Open        // photos that count for nobody, and why
	Faults   []Shared      // the most shared first
	Whole    Sizes         // of all measured slices
	Past     []Past        // the class's mean grade in earlier sessions, oldest first
	Warnings []phrase.Text // what people should look at
	Repeat   *book.Repeat  // the newest comparison of photos of one untouched tray; nil when there is none
}

// Open is a photo that was not counted.
type Open struct {
	File, Label string
	Why         phrase.Text
}

// Trainee is one person's part.
type Trainee struct {
	Name    string
	Photos  []Photo
	Count   piece.Count
	Shares  map[string]float64
	Sizes   Sizes
	Grade   grade.Grade
	Minutes float64       // 0 when not entered
	Tips    []phrase.Text // what to change next, the first first
	Past    []Past        // earlier sessions with a grade, oldest first
	Faults  map[Fault]int
}

// Photo is one photo of a trainee.
type Photo struct {
	File    string
	Result  int64
	Problem phrase.Text // of the photo; empty when there is none
	Refused bool
	Pair    bool // there is a second photo of the tray
	Slices  []grade.Slice
	Others  []Other
	Count   piece.Count // of the slices, those without numbers too

	Missing   phrase.Text // what to do about slices without numbers; empty where all have
	Thickness string      // of a pair: where it comes from, by the numbers of the pieces

	Facts []piece.Fact // what its result rests on
}

// Decided reports whether a person decided something about a piece of it.
func (p Photo) Decided() bool {
	return slices.ContainsFunc(p.Slices, func(s grade.Slice) bool { return s.Override != nil }) ||
		slices.ContainsFunc(p.Others, func(o Other) bool { return o.Reason != "" })
}

// Other is a piece that does not count as a slice.
type Other struct {
	Number int
	State  string
	Reason string // of the person who decided so; empty when nobody did
}

// Past is a trainee's grade in one session.
type Past struct {
	Session string
	HeldOn  time.Time
	Percent float64
}

// Sizes are the values of each measure that count, by its key.
type Sizes map[string][]float64

// Trend is the change in percent points since the trainee's last session.
func (t Trainee) Trend() (change float64, known bool) {
	now, graded := t.Grade.Percent()
	if !graded || len(t.Past) == 0 {
		return 0, false
	}
	return now - t.Past[len(t.Past)-1].Percent, true
}

// Repeats says how far phone and mat repeat themselves, or that nobody has looked.
func (b Board) Repeats() phrase.Text {
	if b.Repeat == nil {
		return phrase.Of("repeat-none")
	}
	limit := func(m *piece.Measure) float64 { return repeat.Limit(b.Repeat.SD[m.Column()]) }
	return phrase.Named("repeat-done", b.Repeat.DoneAt.Format(time.DateOnly)).
		With(float64(b.Repeat.Photos), float64(b.Repeat.Slices), limit(piece.Length), limit(piece.Width))
}

// MeanGrade is the mean of the trainees' grades in percent; false when nobody
// has one.
func (b Board) MeanGrade() (float64, bool) {
	sum, n := 0.0, 0
	for _, t := range b.Trainees {
		if p, graded := t.Grade.Percent(); graded {
			sum, n = sum+p, n+1
		}
	}
	return sum / float64(max(n, 1)), n > 0
}

// newTrainee sums up one person's photos.
func newTrainee(name string, photos []Photo, trays []grade.Tray, minutes float64, job ticket.Ticket) Trainee {
	t := Trainee{
		Name: name, Photos: photos, Minutes: minutes, Shares: map[string]float64{}, Sizes: Sizes{}, Faults: map[Fault]int{},
		Grade: grade.Of(trays, minutes, job.Standard), Count: grade.Verdicts(trays...),
	}
	for _, c := range t.Grade.Criteria {
		if c.Judged {
			t.Shares[c.Name] = c.Share
		}
	}
	for _, s := range grade.Slices(trays) {
		if !t.Sizes.add(s) {
			continue
		}
		for _, f := range faultsOf(s, job.Standard) {
			t.Faults[f]++
		}
	}
	t.Tips = tips(grade.Slices(trays), job)
	return t
}

// add takes in a measured slice, and says whether it was one.
func (z Sizes) add(s grade.Slice) bool {
	if s.State != piece.Measured {
		return false
	}
	for _, m := range piece.Measures {
		if v := m.Of(&s.Piece); v.Counts() {
			z[m.Key] = append(z[m.Key], v.X)
		}
	}
	return true
}

// maxTips is how many things a person can change at once.
const maxTips = 2

// tips asks the coach about all slices together; slices of several photos count
// as cut one after another.
func tips(all []grade.Slice, job ticket.Ticket) []phrase.Text {
	var measured []piece.Piece
	for _, s := range all {
		if s.State == piece.Measured {
			s.Number = len(measured) + 1
			measured = append(measured, s.Piece)
		}
	}
	_, group := job.Fish()
	out := coach.Tray(measured, coach.TargetOf(job.Standard, group), job.Cut)
	return out[:min(len(out), maxTips)]
}

// byName sorts trainees as a list of names is read.
func byName(a, b Trainee) int { return cmp.Compare(a.Name, b.Name) }

// Missing are those on the roster of whom no photo counts.
func (b Board) Missing(roster []string) []string {
	var out []string
	for _, name := range roster {
		if !slices.ContainsFunc(b.Trainees, func(t Trainee) bool { return t.Name == name }) {
			out = append(out, name)
		}
	}
	return out
}

// entry is a photo in the book with its report.
type entry struct {
	book.Entry
	report    piece.Tray
	overrides map[int]piece.Override
}
