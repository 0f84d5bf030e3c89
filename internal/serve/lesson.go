package serve

import (
	"context"
	"html/template"
	"slices"
	"strings"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/grade"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
	"netagauge/internal/tell/lesson"
)

// lessonData is the one thing that a tray teaches.
type lessonData struct {
	Key     string
	Title   string
	Found   string // what was seen, a sentence; may be empty
	Cure    string // with the angles that follow from what was told; may be empty
	Kept    string // the sentence of an older program, which is in English only
	Steps   []string
	Drawing template.HTML
	Ask     *askData // nil where no angle would follow
}

// askData is a field for a size of the block, with the key of how it is measured.
type askData struct{ Field, Hint string }

var (
	askHeight = &askData{"block-height", "block-height-hint"}
	askWidth  = &askData{"block-width", "block-width-hint"}
)

// asks are the sizes of the block that a lesson's angle follows from, by its key: the
// blade's lay from the height, its way across the block from the width.
var asks = map[string]*askData{
	"wide": askHeight, "narrow": askHeight, "widths-drift": askHeight, piece.Triangular: askHeight,
	"short": askWidth, "long": askWidth, "lengths-drift": askWidth,
}

// ask is what would give the lesson its angle and was not told.
func (d *lessonData) ask(told coach.Cut) {
	switch a := asks[d.Key]; {
	case a == askHeight && told.BlockHeight == 0 && told.Phi == 0, a == askWidth && told.BlockWidth == 0 && told.Theta == 0:
		d.Ask = a
	}
}

// lessonOf is a tray's: the coach's on the tray as a whole, else that of the fault
// that most slices have; nil where there is none.
func lessonOf(l lang, tray grade.Tray) *lessonData {
	var found coach.Lesson
	var kept string
	if t := tray.Report.Tally; t != nil {
		if len(t.Says) > 0 {
			found, _ = coach.LessonIn(t.Says[0])
		} else if len(t.Advice) > 0 {
			kept = t.Advice[0]
		}
	}
	if found.Key == "" {
		var those []piece.Piece
		for _, s := range grade.Slices([]grade.Tray{tray}) {
			those = append(those, s.Piece)
		}
		found.Key = coach.Common(those)
	}
	if found.Key == "" {
		return nil
	}
	out := wordedLesson(l, found)
	out.Kept = kept
	return out
}

// wordedLesson is a lesson in the page's language.
func wordedLesson(l lang, of coach.Lesson) *lessonData {
	out := &lessonData{Key: of.Key, Title: capital(l.Word(of.Title()))}
	if says, ok := l.Say(of.Found); ok && says != "" {
		out.Found = capital(l.Word("sentence", says))
	}
	if says, ok := l.Say(of.Cure); ok && says != "" {
		// a clause brings the mark it begins with
		out.Cure = capital(l.Word("sentence", strings.TrimLeft(says, ":;,. ：；、。，")))
	}
	for _, key := range of.Steps() {
		out.Steps = append(out.Steps, l.Word(key))
	}
	out.Drawing = lesson.Drawing(out.Title, append([]string{of.Key}, of.Steps()...)...)
	return out
}

// sinceData compares a tray with the one before it: how far apart the sizes lie, mm.
type sinceData struct {
	Key      string // of the words
	Tray     int64
	Was, Now float64
}

// leastSpread is how many slices it takes to speak of how far they lie apart.
const leastSpread = 3

// since compares a trainee's tray with the one before; nil where there is none of
// that kind, or either holds too few slices.
func (s *Server) since(ctx context.Context, who account.Session, x intake.Shot, now grade.Tray, taught *lessonData) (*sinceData, error) {
	m, key := piece.Width, "since-width"
	if taught != nil && slices.Contains([]string{"short", "long", "lengths-even", "lengths-drift"}, taught.Key) {
		m, key = piece.Length, "since-length"
	}
	apart, ok := spread(now, m)
	if !ok || x.Kind != intake.Class {
		return nil, nil
	}
	before, err := s.Folder.List(ctx, intake.Filter{Owner: x.Owner, Kind: x.Kind, Before: x.Number, Last: 1, States: []intake.State{intake.Measured}})
	if err != nil || len(before) == 0 {
		return nil, err
	}
	if may, err := s.maySee(ctx, who, before[0]); err != nil || !may {
		return nil, err
	}
	tray, err := s.trayOf(ctx, before[0])
	if err != nil {
		return nil, err
	}
	was, ok := spread(tray, m)
	if !ok {
		return nil, nil
	}
	return &sinceData{key, before[0].Number, was, apart}, nil
}

// spread is how far the largest and the smallest of a tray's slices lie apart, but
// for triangles, whose sizes say nothing of the others.
func spread(t grade.Tray, m *piece.Measure) (float64, bool) {
	var those []piece.Piece
	for _, s := range grade.Slices([]grade.Tray{t}) {
		if !s.Triangular {
			those = append(those, s.Piece)
		}
	}
	v := m.Values(those)
	if len(v) < leastSpread {
		return 0, false
	}
	return slices.Max(v) - slices.Min(v), true
}
