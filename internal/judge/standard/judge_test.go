package standard

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"netagauge/internal/core/piece"
)

// good is a slice that the default standard passes with room to spare.
func good() piece.Piece {
	return piece.Piece{
		State: piece.Measured, Length: piece.Of(80, 0.4), Width: piece.Of(35, 0.4), Weight: piece.Of(12, 0.5),
		Cover: piece.Of(1, 0.01), Taper: piece.Of(0.05, 0),
	}
}

func verdict(s Standard, p piece.Piece) piece.Verdict {
	s.Judge(&p, "")
	return p.Verdict
}

func whats(j piece.Piece) string {
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
	skew := func(s *Standard) { s.Skew = &Most{High: 10} }
	for _, c := range []struct {
		name       string
		change     func(*piece.Piece)
		house      func(*Standard)
		group      string
		verdict    piece.Verdict
		faults     string
		triangular bool
	}{
		{name: "good", change: func(m *piece.Piece) {}, verdict: piece.Pass},
		{name: "on the limit", change: func(m *piece.Piece) { m.Length.X = 75 }, verdict: piece.Pass},
		{name: "inside, but U is wider than the band", change: func(m *piece.Piece) { m.Weight = piece.Of(13.1, 8) }, verdict: piece.Unsure, faults: " weight?"},
		{name: "inside, U as wide as the band", change: func(m *piece.Piece) { m.Weight = piece.Of(12, 5) }, verdict: piece.Pass},
		{name: "far beyond, though U is wider than the band", change: func(m *piece.Piece) { m.Weight = piece.Of(26, 8) }, verdict: piece.Fail, faults: " weight"},
		{name: "beyond by less than U", change: func(m *piece.Piece) { m.Length.X = 74.7 }, verdict: piece.Unsure, faults: " length?"},
		{name: "beyond by exactly U", change: func(m *piece.Piece) { m.Length.X, m.Length.U = 74.5, 0.5 }, verdict: piece.Unsure, faults: " length?"},
		{name: "beyond by more than U", change: func(m *piece.Piece) { m.Length.X = 74.5 }, verdict: piece.Fail, faults: " length"},
		{name: "U of zero", change: func(m *piece.Piece) { m.Length.X, m.Length.U = 74.999, 0 }, verdict: piece.Fail, faults: " length"},
		{name: "U of zero on the limit", change: func(m *piece.Piece) { m.Width.X, m.Width.U = 38, 0 }, verdict: piece.Pass},
		{name: "too wide", change: func(m *piece.Piece) { m.Width.X = 39 }, verdict: piece.Fail, faults: " width"},
		{name: "sure fault wins over unsure", change: func(m *piece.Piece) { m.Length.X, m.Width.X = 74.7, 39 }, verdict: piece.Fail, faults: " length? width"},
		{name: "light", change: func(m *piece.Piece) { m.Weight.X = 9 }, verdict: piece.Fail, faults: " weight"},
		{name: "light for tuna only", change: func(m *piece.Piece) { m.Weight.X = 11 }, group: "tuna", verdict: piece.Fail, faults: " weight"},
		{name: "heavy for squid", change: func(m *piece.Piece) {}, group: "stiff", verdict: piece.Fail, faults: " weight"},
		{name: "unknown group has the general band", change: func(m *piece.Piece) {}, group: "egg", verdict: piece.Pass},
		{name: "between the bands of white fish and of squid", change: func(m *piece.Piece) { m.Weight = piece.Of(9.5, 0.2) }, group: "white", verdict: piece.Fail, faults: " weight"},
		{name: "above the band of white fish", change: func(m *piece.Piece) { m.Weight = piece.Of(12.5, 0.2) }, group: "white", verdict: piece.Fail, faults: " weight"},
		{name: "an estimate is not judged", change: func(m *piece.Piece) { m.Weight = piece.Value{X: 9, Known: true, Estimate: true} }, verdict: piece.Pass},
		{name: "no weight is not judged", change: func(m *piece.Piece) { m.Weight = piece.Value{} }, verdict: piece.Pass},
		{name: "triangle", change: func(m *piece.Piece) { m.Cover.X, m.Taper.X = 0.9, 0.8 }, verdict: piece.Fail, faults: " triangular", triangular: true},
		{name: "triangle within U", change: func(m *piece.Piece) { m.Cover.X, m.Taper.X = 0.965, 0.8 }, verdict: piece.Unsure, faults: " triangular?", triangular: true},
		{name: "tapered but covers", change: func(m *piece.Piece) { m.Taper.X = 0.8 }, verdict: piece.Pass},
		{name: "small", change: func(m *piece.Piece) { m.Cover.X, m.Length.X = 0.9, 58 }, verdict: piece.Fail, faults: " length small"},
		{name: "ragged", change: func(m *piece.Piece) { m.Cover.X = 0.9 }, verdict: piece.Fail, faults: " ragged"},
		{name: "koba asked and there", change: func(m *piece.Piece) { m.Koba = &yes }, house: koba, verdict: piece.Pass},
		{name: "koba asked, not there", change: func(m *piece.Piece) { m.Koba = &no }, house: koba, verdict: piece.Fail, faults: " koba"},
		{name: "koba asked, not known", change: func(m *piece.Piece) {}, house: koba, verdict: piece.Unsure, faults: " koba?"},
		{name: "koba not asked", change: func(m *piece.Piece) { m.Koba = &no }, verdict: piece.Pass},
		{name: "skew not asked", change: func(m *piece.Piece) { m.Skew = piece.Of(40, 1) }, verdict: piece.Pass},
		{name: "skew not known", change: func(m *piece.Piece) {}, house: skew, verdict: piece.Pass},
		{name: "skew within", change: func(m *piece.Piece) { m.Skew = piece.Of(9.5, 1) }, house: skew, verdict: piece.Pass},
		{name: "skew beyond by less than U", change: func(m *piece.Piece) { m.Skew = piece.Of(10.5, 1) }, house: skew, verdict: piece.Unsure, faults: " skew?"},
		{name: "skew beyond", change: func(m *piece.Piece) { m.Skew = piece.Of(12, 1) }, house: skew, verdict: piece.Fail, faults: " skew"},
		{name: "NaN", change: func(m *piece.Piece) { m.Length.X = math.NaN() }, verdict: piece.Unsure, faults: " length?"},
		{name: "NaN U, outside", change: func(m *piece.Piece) { m.Length.X, m.Length.U = 60, math.NaN() }, verdict: piece.Unsure, faults: " length?"},
		{name: "infinite", change: func(m *piece.Piece) { m.Length.X = math.Inf(1) }, verdict: piece.Fail, faults: " length"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m, s := good(), Default()
			c.change(&m)
			if c.house != nil {
				c.house(&s)
			}
			s.Judge(&m, c.group)
			if j := m; j.Verdict != c.verdict || whats(j) != c.faults || j.Triangular != c.triangular {
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
		want  [4]piece.Verdict
	}{
		{GuardNone, [4]piece.Verdict{piece.Fail, piece.Fail, piece.Pass, piece.Pass}},
		{GuardRejection, [4]piece.Verdict{piece.Fail, piece.Unsure, piece.Pass, piece.Pass}},
		{GuardAcceptance, [4]piece.Verdict{piece.Fail, piece.Fail, piece.Unsure, piece.Pass}},
		{GuardBoth, [4]piece.Verdict{piece.Fail, piece.Unsure, piece.Unsure, piece.Pass}},
	} {
		s := Default()
		s.Verdict.Guard = c.guard
		for i, l := range lengths {
			m := good()
			m.Length.X, m.Length.U = l, 1
			if got := verdict(s, m); got != c.want[i] {
				t.Errorf("guard %s, length %g: got %s, want %s", c.guard, l, got, c.want[i])
			}
		}
	}
}

func TestCountsAsPass(t *testing.T) {
	s := Default()
	if !s.CountsAsPass(piece.Pass) || s.CountsAsPass(piece.Fail) || !s.CountsAsPass(piece.Unsure) {
		t.Error("by default pass and unsure count as passed, fail does not")
	}
	s.Verdict.UnsureCountsAs = "fail"
	if s.CountsAsPass(piece.Unsure) {
		t.Error("unsure_counts_as fail is not honoured")
	}
}

// Less uncertainty never turns a verdict around: it only settles unsure ones.
func TestUncertaintyOnlySettles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Default()
		s.Verdict.Guard = rapid.SampledFrom([]Guard{GuardRejection, GuardAcceptance, GuardBoth, GuardNone}).Draw(t, "guard")
		m := good()
		m.Length.X = rapid.Float64Range(60, 100).Draw(t, "length")
		u := rapid.Float64Range(0, 4).Draw(t, "u")
		m.Length.U = u
		wide := verdict(s, m)
		m.Length.U = u * rapid.Float64Range(0, 1).Draw(t, "share")
		narrow := verdict(s, m)
		if wide != piece.Unsure && s.Verdict.Guard != GuardNone && narrow != wide {
			t.Fatalf("guard %s, length %g: %s at U %g, %s at U %g", s.Verdict.Guard, m.Length.X, wide, u, narrow, m.Length.U)
		}
	})
}

// A fault lies on the side of the limit that it was held against, whatever the
// aim: at 81.8 ± 0.6 in 75 to 82 the high one. And no slice is told to be
// ragged, small or triangular that is seen to cover what the house asks.
func TestFaultsNameTheLimitThatIsBroken(t *testing.T) {
	s := Default()
	s.Verdict.Guard = GuardBoth
	s.Length = Limits{Low: 75, Aim: 82, High: 82}
	p := good()
	p.Length, p.Cover = piece.Of(81.8, 0.6), piece.Of(0.9996, 0.05)
	s.Judge(&p, "")
	if whats(p) != " length? cover?" || p.Faults[0].Side() != piece.TooMuch || p.Faults[0].Key() != "long" || p.Faults[1].Key() != "cover" {
		t.Errorf("faults %+v, want long? and cover?", p.Faults)
	}
	rapid.Check(t, func(t *rapid.T) {
		s := Default()
		s.Verdict.Guard = rapid.SampledFrom([]Guard{GuardRejection, GuardAcceptance, GuardBoth, GuardNone}).Draw(t, "guard")
		draw := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
		s.Length = Limits{Low: draw("low", 40, 80), High: draw("high", 80, 120)}
		p := good()
		p.Length, p.Taper = piece.Of(draw("length", 20, 150), draw("U", 0, 5)), piece.Of(draw("taper", 0, 1.6), 0)
		p.Cover = piece.Of(draw("cover", 0, 1), draw("cover U", 0, 0.2))
		s.Judge(&p, "")
		for _, f := range p.Faults {
			switch {
			case f.What == "length" && p.Length.X < s.Length.Low && f.Key() != "short",
				f.What == "length" && p.Length.X > s.Length.High && f.Key() != "long",
				f.What == "length" && f.Unsure && f.Key() == "short" && p.Length.X-p.Length.U > s.Length.Low,
				f.What == "length" && f.Unsure && f.Key() == "long" && p.Length.X+p.Length.U < s.Length.High:
				t.Fatalf("%g ± %g in %g to %g is told to be too %s", p.Length.X, p.Length.U, s.Length.Low, s.Length.High, f.Key())
			case f.What != "length" && f.What != "cover" && p.Cover.X >= s.Rice.CoverFloor:
				t.Fatalf("a slice that covers %g of the rice is told to be %s", p.Cover.X, f.What)
			case f.What == "cover" && !f.Unsure && p.Cover.X < s.Rice.CoverFloor:
				t.Fatalf("nothing is said of why %g of the rice is covered", p.Cover.X)
			}
		}
	})
}
