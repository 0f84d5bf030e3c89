package standard

import (
	"strconv"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// Says is what the standard means, a sentence each: what passes, what is aimed for,
// how doubt is judged, and what a grade is made of.
func (s Standard) Says() []phrase.Text {
	kind := "house-service"
	if s.Practice {
		kind = "house-practice"
	}
	out := []phrase.Text{phrase.Named(kind, s.Name), s.Length.says("house-length"), s.Width.says("house-width")}
	for _, b := range []struct {
		key string
		Limits
	}{{"house-weight", s.Weight.General}, {"house-weight-tuna", s.Weight.Tuna}, {"house-weight-white", s.Weight.White}, {"house-weight-stiff", s.Weight.Stiff}} {
		out = append(out, b.says(b.key))
	}
	out = append(out, phrase.Of("house-rice", 100*s.Rice.CoverFloor, s.Rice.Length, s.Rice.Width), phrase.Of("house-triangle", s.TriangularTaper))
	for _, c := range s.ceilings() {
		out = append(out, phrase.Of("house-most-"+c.of.Key, c.High))
	}
	if s.KobaRequired {
		out = append(out, phrase.Of("house-koba"))
	}
	out = append(out, phrase.Of("house-guard-"+string(s.Verdict.Guard)), s.Counting().And(phrase.Of("paper-end")))
	return append(out, s.Grading.says())
}

func (l Limits) says(key string) phrase.Text { return phrase.Of(key, l.Low, l.High, l.Aim) }

// says lists what earns points.
func (g Grading) says() phrase.Text {
	out := phrase.Of("house-grade")
	first := true
	add := func(key string, points int) {
		if points == 0 {
			return
		}
		if !first {
			out = out.And(phrase.Of("list-comma"))
		}
		first = false
		out = out.And(phrase.Named("house-points", key, strconv.Itoa(points)))
	}
	for _, m := range piece.Judged() {
		add(m.Key, g.Points(m))
	}
	add("paper-evenness", g.Evenness)
	add("paper-count", g.Count)
	add("paper-pace", g.Pace)
	return out.And(phrase.Of("paper-end"))
}
