package standard

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// good is a slice that the default standard passes with room to spare.
func good() Measured {
	w := 12.0
	return Measured{
		Length: 80, LengthU: 0.4, Width: 35, WidthU: 0.4, Weight: &w, WeightU: 0.5,
		Cover: 1, CoverU: 0.01, Taper: 0.05, Group: "general",
	}
}

func whats(j Judgement) string {
	out := ""
	for _, f := range j.Faults {
		out += " " + f.What
		if f.Unsure {
			out += "?"
		}
	}
	return out
}

func TestJudge(t *testing.T) {
	yes, no := true, false
	koba := func(s *Standard) { s.KobaRequired = true }
	for _, c := range []struct {
		name       string
		change     func(*Measured)
		house      func(*Standard)
		verdict    Verdict
		faults     string
		triangular bool
	}{
		{name: "good", change: func(m *Measured) {}, verdict: Pass},
		{name: "on the limit", change: func(m *Measured) { m.Length = 75 }, verdict: Pass},
		{name: "beyond by less than U", change: func(m *Measured) { m.Length = 74.7 }, verdict: Unsure, faults: " length?"},
		{name: "beyond by exactly U", change: func(m *Measured) { m.Length, m.LengthU = 74.5, 0.5 }, verdict: Unsure, faults: " length?"},
		{name: "beyond by more than U", change: func(m *Measured) { m.Length = 74.5 }, verdict: Fail, faults: " length"},
		{name: "U of zero", change: func(m *Measured) { m.Length, m.LengthU = 74.999, 0 }, verdict: Fail, faults: " length"},
		{name: "U of zero on the limit", change: func(m *Measured) { m.Width, m.WidthU = 38, 0 }, verdict: Pass},
		{name: "too wide", change: func(m *Measured) { m.Width = 39 }, verdict: Fail, faults: " width"},
		{name: "sure fault wins over unsure", change: func(m *Measured) { m.Length, m.Width = 74.7, 39 }, verdict: Fail, faults: " length? width"},
		{name: "light", change: func(m *Measured) { *m.Weight = 9 }, verdict: Fail, faults: " weight"},
		{name: "light for tuna only", change: func(m *Measured) { *m.Weight = 11; m.Group = "tuna" }, verdict: Fail, faults: " weight"},
		{name: "heavy for squid", change: func(m *Measured) { m.Group = "stiff" }, verdict: Fail, faults: " weight"},
		{name: "unknown group has the general band", change: func(m *Measured) { m.Group = "egg" }, verdict: Pass},
		{name: "no weight is not judged", change: func(m *Measured) { m.Weight = nil }, verdict: Pass},
		{name: "triangle", change: func(m *Measured) { m.Cover, m.Taper = 0.9, 0.8 }, verdict: Fail, faults: " triangular", triangular: true},
		{name: "triangle within U", change: func(m *Measured) { m.Cover, m.Taper = 0.965, 0.8 }, verdict: Unsure, faults: " triangular?", triangular: true},
		{name: "tapered but covers", change: func(m *Measured) { m.Taper = 0.8 }, verdict: Pass},
		{name: "small", change: func(m *Measured) { m.Cover, m.Length = 0.9, 58 }, verdict: Fail, faults: " length small"},
		{name: "ragged", change: func(m *Measured) { m.Cover = 0.9 }, verdict: Fail, faults: " ragged"},
		{name: "koba asked and there", change: func(m *Measured) { m.Koba = &yes }, house: koba, verdict: Pass},
		{name: "koba asked, not there", change: func(m *Measured) { m.Koba = &no }, house: koba, verdict: Fail, faults: " koba"},
		{name: "koba asked, not known", change: func(m *Measured) {}, house: koba, verdict: Unsure, faults: " koba?"},
		{name: "koba not asked", change: func(m *Measured) { m.Koba = &no }, verdict: Pass},
		{name: "NaN", change: func(m *Measured) { m.Length = math.NaN() }, verdict: Unsure, faults: " length?"},
		{name: "NaN U, outside", change: func(m *Measured) { m.Length, m.LengthU = 60, math.NaN() }, verdict: Unsure, faults: " length?"},
		{name: "infinite", change: func(m *Measured) { m.Length = math.Inf(1) }, verdict: Fail, faults: " length"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m, s := good(), Default()
			c.change(&m)
			if c.house != nil {
				c.house(&s)
			}
			j := s.Judge(m)
			if j.Verdict != c.verdict || whats(j) != c.faults || j.Triangular != c.triangular {
				t.Errorf("got %s%s triangular=%v, want %s%s triangular=%v",
					j.Verdict, whats(j), j.Triangular, c.verdict, c.faults, c.triangular)
			}
		})
	}
}

// The four rules of JCGM 106:2012 section 8 (simple acceptance, guarded
// acceptance, guarded rejection) and both guards at once, U = 1, low limit 75.
func TestGuards(t *testing.T) {
	lengths := []float64{73.9, 74.1, 75.9, 76.1}
	for _, c := range []struct {
		guard Guard
		want  [4]Verdict
	}{
		{GuardNone, [4]Verdict{Fail, Fail, Pass, Pass}},
		{GuardRejection, [4]Verdict{Fail, Unsure, Pass, Pass}},
		{GuardAcceptance, [4]Verdict{Fail, Fail, Unsure, Pass}},
		{GuardBoth, [4]Verdict{Fail, Unsure, Unsure, Pass}},
	} {
		s := Default()
		s.Verdict.Guard = c.guard
		for i, l := range lengths {
			m := good()
			m.Length, m.LengthU = l, 1
			if got := s.Judge(m).Verdict; got != c.want[i] {
				t.Errorf("guard %s, length %g: got %s, want %s", c.guard, l, got, c.want[i])
			}
		}
	}
}

func TestCountsAsPass(t *testing.T) {
	s := Default()
	if !s.CountsAsPass(Pass) || s.CountsAsPass(Fail) || !s.CountsAsPass(Unsure) {
		t.Error("by default pass and unsure count as passed, fail does not")
	}
	s.Verdict.UnsureCountsAs = "fail"
	if s.CountsAsPass(Unsure) {
		t.Error("unsure_counts_as fail is not honoured")
	}
}

// Less uncertainty never turns a verdict around: it only settles unsure ones.
func TestUncertaintyOnlySettles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Default()
		s.Verdict.Guard = rapid.SampledFrom([]Guard{GuardRejection, GuardAcceptance, GuardBoth, GuardNone}).Draw(t, "guard")
		m := good()
		m.Length = rapid.Float64Range(60, 100).Draw(t, "length")
		u := rapid.Float64Range(0, 4).Draw(t, "u")
		m.LengthU = u
		wide := s.Judge(m).Verdict
		m.LengthU = u * rapid.Float64Range(0, 1).Draw(t, "share")
		narrow := s.Judge(m).Verdict
		if wide != Unsure && s.Verdict.Guard != GuardNone && narrow != wide {
			t.Fatalf("guard %s, length %g: %s at U %g, %s at U %g", s.Verdict.Guard, m.Length, wide, u, narrow, m.LengthU)
		}
	})
}
