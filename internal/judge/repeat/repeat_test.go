package repeat

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
)

// lying are slices of the given lengths, 50 mm apart, moved along by a shift, mm.
func lying(shift float64, lengths ...float64) piece.Tray {
	t := piece.Tray{Photo: piece.Photo{File: "a.jpg"}, Status: piece.TrayMeasured}
	for i, l := range lengths {
		x := 50*float64(i) + shift
		t.Pieces = append(t.Pieces, piece.Piece{Number: i + 1, State: piece.Measured, Length: piece.Of(l, 0),
			Outline: [][2]float64{{x, 0}, {x + 30, 0}, {x + 30, 80}, {x, 80}}})
	}
	return t
}

func lengthsOf(t *testing.T, trays ...piece.Tray) Spread {
	t.Helper()
	a, err := Of(trays)
	fatal.If(t, err)
	for _, s := range a.Spreads {
		if s.Measure == piece.Length {
			return s
		}
	}
	t.Fatalf("no length in %+v", a)
	return Spread{}
}

// Peak expiratory flow of 17 people, two readings each with the large meter and two
// with the small one, l/min: J. M. Bland and D. G. Altman, Statistical methods for
// assessing agreement between two methods of clinical measurement, Lancet 1986,
// i:307-310, table 1 (data and results from memory; they agree with each other). The
// paper's coefficient of repeatability is twice the standard deviation of the
// differences taken about nought: 43.2 and 56.4. It equals 2·√2·s_r.
func TestPeakFlow(t *testing.T) {
	for _, c := range []struct {
		meter         string
		first, second []float64
		published     float64
	}{
		{"large", []float64{494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427},
			[]float64{490, 397, 512, 401, 470, 611, 415, 431, 638, 429, 420, 633, 275, 492, 165, 372, 421}, 43.2},
		{"small", []float64{512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451},
			[]float64{525, 415, 508, 444, 500, 625, 460, 390, 642, 432, 420, 605, 227, 467, 268, 370, 443}, 56.4},
	} {
		s := lengthsOf(t, lying(0, c.first...), lying(0, c.second...))
		if got := 2 * math.Sqrt2 * s.SD; math.Abs(got-c.published) > 0.15 {
			t.Errorf("%s meter: coefficient of repeatability %.1f, published %.1f", c.meter, got, c.published)
		}
		if s.Freedom != 17 || math.Abs(s.Limit-2.8*s.SD) > 1e-9 {
			t.Errorf("%s meter: %+v", c.meter, s)
		}
	}
}

// Three photos of two slices, by hand: 80, 81, 82 has variance 1 and 70, 70, 73 has
// 3, each with 2 degrees of freedom: s_r = √2; the greatest difference is 3.
func TestThreePhotos(t *testing.T) {
	s := lengthsOf(t, lying(0, 80, 70), lying(0.5, 81, 70), lying(-0.5, 82, 73))
	if math.Abs(s.SD-math.Sqrt2) > 1e-12 || s.Freedom != 4 || s.Greatest != 3 {
		t.Errorf("%+v", s)
	}
}

func TestRefuses(t *testing.T) {
	refused := lying(0, 80, 70)
	refused.Status = piece.TrayRefused
	for name, trays := range map[string][]piece.Tray{
		"one photo":       {lying(0, 80, 70)},
		"a refused photo": {lying(0, 80, 70), refused},
		"moved slices":    {lying(0, 80, 70), lying(8, 80, 70)},
		"another tray":    {lying(0, 80, 70, 75, 76, 77), lying(0, 80)},
		"two of five":     {lying(0, 80, 70, 75, 76, 77), lying(0, 80, 70)},
		"one slice":       {lying(0, 80), lying(0, 80)},
	} {
		if a, err := Of(trays); err == nil {
			t.Errorf("%s: %+v", name, a)
		}
	}
}

// An estimate of weight is no slice's own and repeats for the wrong reason.
func TestEstimatesAreLeftOut(t *testing.T) {
	a, b := lying(0, 80, 70), lying(0, 80, 70)
	for _, tray := range []piece.Tray{a, b} {
		for i := range tray.Pieces {
			tray.Pieces[i].Weight = piece.Value{X: 12, U: 3, Known: true, Estimate: true}
		}
	}
	got, err := Of([]piece.Tray{a, b})
	fatal.If(t, err)
	for _, s := range got.Spreads {
		if s.Measure == piece.Weight {
			t.Errorf("weights that nobody saw: %+v", s)
		}
	}
}

// The same tray twice has no spread, and the order of the photos is nothing to it.
func TestOrderIsNothing(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		size := rapid.Float64Range(60, 100)
		a := rapid.SliceOfN(size, 4, 4).Draw(rt, "first")
		b := rapid.SliceOfN(size, 4, 4).Draw(rt, "second")
		x, y := lengthsOf(t, lying(0, a...), lying(0, b...)), lengthsOf(t, lying(0, b...), lying(0, a...))
		if math.Abs(x.SD-y.SD) > 1e-9 || x.Greatest != y.Greatest {
			rt.Fatalf("%+v and %+v", x, y)
		}
		if s := lengthsOf(t, lying(0, a...), lying(0, a...)); s.SD != 0 || s.Greatest != 0 {
			rt.Fatalf("the same photo twice: %+v", s)
		}
	})
}
