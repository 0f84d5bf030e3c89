package eye

import (
	"math"
	"testing"
	"time"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
)

// The interval of a bias is held to a worked example: JCGM 100:2008, table 1 and 4.4.3 (20 readings of a temperature, mean
// 100.14 °C, s = 1.49 °C, s of the mean .33 °C); Student's factor for 19 degrees of
// freedom is 2.09 (table G.2).
func TestBiasByTheGUM(t *testing.T) {
	readings := []float64{96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42,
		100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72}
	var all []Guess
	for _, x := range readings {
		all = append(all, Guess{Kind: Kind{"tuna", "weight"}, Guess: x, Truth: 0})
	}
	r := Readings(all)[0]
	for _, c := range []struct {
		what      string
		got, want float64
		within    float64
	}{{"mean", r.Bias, 100.14, .006}, {"spread", r.Spread, 1.49, .006}, {"interval", r.BiasU, 2.09 * 0.333, .01}} {
		if math.Abs(c.got-c.want) > c.within {
			t.Errorf("%s %.4f, want %.3f", c.what, c.got, c.want)
		}
	}
	if !r.Sure() || r.N != 20 {
		t.Errorf("%+v", r)
	}
}

// Habits are told apart by fish and measure, and a yes or no has none.
func TestReadingsByKind(t *testing.T) {
	guess := func(fish, measure string, guess, truth, within float64) Guess {
		return Guess{Kind: Kind{fish, measure}, Guess: guess, Truth: truth, Within: within}
	}
	got := Readings([]Guess{
		guess("tuna", "length", 75, 80, 2.5), guess("tuna", "length", 78, 80, 2.5), guess("tuna", "length", 77, 80, 2.5),
		guess("squid", "length", 90, 80, 2.5), guess("tuna", "cover", 1, 0, .5), guess("tuna", "cover", 1, 1, .5),
	})
	want := []Reading{
		{Kind: Kind{"tuna", "length"}, N: 3, Right: 1, Bias: -10. / 3, BiasU: 4.302653 * math.Sqrt(7./3) / math.Sqrt(3), Spread: math.Sqrt(7. / 3)},
		{Kind: Kind{"tuna", "cover"}, N: 2, Right: 1},
		{Kind: Kind{"squid", "length"}, N: 1, Right: 0, Bias: 10},
	}
	if len(got) != len(want) {
		t.Fatalf("%d readings", len(got))
	}
	for i, w := range want {
		g := got[i]
		if g.Kind != w.Kind || g.N != w.N || g.Right != w.Right || math.Abs(g.Bias-w.Bias) > 1e-9 || math.Abs(g.Spread-w.Spread) > 1e-9 || math.Abs(g.BiasU-w.BiasU) > 1e-5 {
			t.Errorf("got %+v, want %+v", g, w)
		}
	}
	if got[0].Sure() || got[2].Sure() {
		t.Error("three or one guesses are no habit here")
	}
}

// Only what is known well enough is asked: an estimate of the tray is no slice's weight.
func TestQuestions(t *testing.T) {
	house := standard.Default()
	p := piece.Piece{Length: piece.Of(80, 0.5), Width: piece.Of(34, 2), Cover: piece.Of(0.8, 0.01), Weight: piece.Value{X: 12, U: 0.2, Known: true, Estimate: true}}
	got := Questions(p, house, "")
	if len(got) != 2 || got[0].Measure != piece.Length || got[1].Measure != piece.Cover {
		t.Fatalf("%+v", got)
	}
	if half := (house.Length.High - house.Length.Low) / 4; got[0].Within != half || got[0].Truth != 80 || got[0].U != 0.5 {
		t.Errorf("length %+v, within %g", got[0], half)
	}
	if got[1].Truth != 0 {
		t.Errorf("a bare quarter covers: %+v", got[1])
	}
	p.Cover = piece.Of(1, 0)
	if got := Questions(p, house, ""); got[1].Truth != 1 {
		t.Errorf("covered rice is bare: %+v", got[1])
	}
	p.Cover = piece.Of(house.Rice.CoverFloor+0.005, 0.01)
	if got := Questions(p, house, ""); len(got) != 1 {
		t.Errorf("asked what nobody knows: %+v", got)
	}
}

func TestDays(t *testing.T) {
	at := time.Date(2026, 11, 2, 18, 0, 0, 0, time.Local)
	all := []Guess{{At: at.AddDate(0, 0, 7), Guess: 5, Within: 1}, {At: at, Within: 1}, {At: at.Add(time.Hour), Guess: 5, Within: 1}}
	got := Days(all)
	if len(got) != 2 || got[0] != (Day{at, 2, 1}) || got[1] != (Day{all[0].At, 1, 0}) {
		t.Errorf("%+v", got)
	}
}
