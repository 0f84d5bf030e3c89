package hand

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/evidence"
)

var noon = time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC)

func slice(length, width, thickness float64) piece.Piece {
	return piece.Piece{State: piece.Measured, Length: piece.Of(length, 0.4), Width: piece.Of(width, 0.4), Thickness: piece.Of(thickness, 0.2), Verdict: piece.Pass}
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %v, want %v ± %v", what, got, want, within)
	}
}

func of(ds []Drift, m *piece.Measure) (Drift, bool) {
	for _, d := range ds {
		if d.Measure == m {
			return d, true
		}
	}
	return Drift{}, false
}

// A block cut ever thicker, by 0.1 mm a slice, at an even length told by nothing: by
// hand 3.0, 3.1, … 3.9 with one slice hidden in its place.
func TestAlong(t *testing.T) {
	var cut []piece.Piece
	for i := range 10 {
		noise := []float64{0.02, -0.01, 0.01, -0.02, 0}[i%5]
		cut = append(cut, slice(80+10*noise, 35, 3+0.1*float64(i)+noise))
	}
	cut[4] = piece.Piece{State: piece.Touching}
	got := Along(cut)
	thick, known := of(got, piece.Thickness)
	if !known || !thick.Step.Clear() || thick.N != 9 || thick.Steps != 9 {
		t.Fatalf("%+v, %v", thick, known)
	}
	near(t, "a slice", thick.Step.Value, 0.1, 0.003)
	near(t, "the whole block", thick.Whole().Value, 0.9, 0.03)
	if length, known := of(got, piece.Length); !known || length.Step.Clear() {
		t.Errorf("an even length drifts: %+v", length)
	}
	if _, known := of(got, piece.Width); known {
		t.Error("one number for all has a drift")
	}
	if _, known := of(got, piece.Skew); known {
		t.Error("what is not known has a drift")
	}
	if got := Along(cut[:3]); len(got) != 0 {
		t.Errorf("three slices tell %+v", got)
	}
	back := make([]piece.Piece, len(cut))
	for i := range cut {
		back[len(cut)-1-i] = cut[i]
	}
	other, _ := of(Along(back), piece.Thickness)
	near(t, "the other way round", other.Step.Value, -thick.Step.Value, 1e-12)
}

// trayOf sums up slices.
func trayOf(cut []piece.Piece) Tray {
	out := Tray{Slices: len(cut), Of: map[*piece.Measure]evidence.Spread{}}
	for _, m := range piece.OfHand() {
		out.Of[m] = evidence.SpreadOf(m.Values(cut))
	}
	for _, p := range cut {
		if p.State == piece.Measured {
			out.Good.Of++
			if p.Verdict == piece.Pass {
				out.Good.N++
			}
		}
	}
	return out
}

// Six trays, one every five minutes: lengths 1 mm longer each tray, ever more uneven.
func trays() (out []Tray) {
	for i := range 6 {
		var cut []piece.Piece
		for _, d := range []float64{-1, -0.5, 0, 0.5, 1} {
			cut = append(cut, slice(80+float64(i)+d*(1+0.2*float64(i))+0.01*float64(i%2), 35+d, 4))
		}
		tray := trayOf(cut)
		tray.At = noon.Add(time.Duration(5*i) * time.Minute)
		out = append(out, tray)
	}
	return out
}

func TestTired(t *testing.T) {
	means, spreads := Tired(trays())
	length, _ := of(means, piece.Length)
	near(t, "mean, a minute", length.Step.Value, 0.2, 0.001)
	near(t, "from first to last", length.Whole().Value, 5, 0.02)
	spread, _ := of(spreads, piece.Length)
	near(t, "spread, a minute", spread.Step.Value, 0.2*0.7905694/5, 1e-6) // the deviation of -1 … 1 by halves is √0.625
	if _, known := of(means, piece.Width); known {
		t.Error("an even width drifts")
	}
	if means, _ := Tired(trays()[:3]); len(means) != 0 {
		t.Errorf("three trays tell %+v", means)
	}
}

func TestPace(t *testing.T) {
	if pace, known := Pace(trays()); !known || pace != 1 { // 25 slices in 25 minutes
		t.Errorf("%v, %v", pace, known)
	}
	// what lay on the first photo was cut before it: 7 + 13 slices in ten minutes
	if pace, _ := Pace([]Tray{{At: noon, Slices: 40}, {At: noon.Add(4 * time.Minute), Slices: 7}, {At: noon.Add(10 * time.Minute), Slices: 13}}); pace != 2 {
		t.Errorf("a large first tray makes a pace of %v", pace)
	}
	for _, few := range [][]Tray{nil, trays()[:1], {{At: noon, Slices: 5}, {At: noon, Slices: 5}}} {
		if pace, known := Pace(few); known {
			t.Errorf("%d trays tell a pace of %v", len(few), pace)
		}
	}
}

// Before 3 of 10 slices are good, afterwards 9 of 10: Newcombe's example (b), 0.1705 to
// 0.8090; and the mean length falls by 4 mm.
func TestSince(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	hand := func(length float64, good int) []Tray {
		var out []piece.Piece
		for i := range 10 {
			p := slice(length+random.NormFloat64(), 35, 4)
			if i >= good {
				p.Verdict = piece.Fail
			}
			out = append(out, p)
		}
		return []Tray{trayOf(append(out, piece.Piece{State: piece.Glared}))}
	}
	got := Since(hand(84, 3), hand(80, 9))
	if !got.GoodKnown || !got.Good.Clear() || got.Before.Of != 10 || got.After.N != 9 {
		t.Errorf("%+v", got)
	}
	near(t, "low", got.Good.Low, 0.1705, 5e-5)
	near(t, "high", got.Good.High, 0.8090, 5e-5)
	if len(got.Changes) != 1 || got.Changes[0].Measure != piece.Length {
		t.Fatalf("%+v", got.Changes)
	}
	c := got.Changes[0]
	near(t, "mean", c.By.Value, c.After.Mean-c.Before.Mean, 1e-12)
	near(t, "mean", c.By.Value, -4, 1)
	if !c.By.Clear() {
		t.Errorf("%+v", c)
	}
	if bad := Since(hand(84, 0), hand(80, 9)); bad.Before.Of != 10 || bad.Before.N != 0 {
		t.Errorf("a tray without a good slice counts as %+v", bad.Before)
	}
	apart := func(length float64) []Tray { return append(hand(length, 1), hand(length, 9)...) }
	if more := Since(apart(84), apart(80)); more.Good.High-more.Good.Low < 1.2*(got.Good.High-got.Good.Low) {
		t.Errorf("twice as many slices on trays that differ tell as much: %+v", more.Good)
	}
	if none := Since(nil, hand(80, 9)); none.GoodKnown || len(none.Changes) != 0 {
		t.Errorf("from nothing: %+v", none)
	}
}
