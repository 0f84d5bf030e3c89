package inspect

import (
	"math"
	"slices"
	"sync"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/piece"
	"netagauge/internal/see/parallax"
	"netagauge/internal/see/shape"
)

var samples = []string{"tray-a4", "tray-triangles", "tray-card", "tray-laid"}

// known is a sample tray measured as a cook would have it who knows each slice's
// thickness and lay angle, against its truth; unlaid is with the thickness alone,
// untold with nothing.
type known struct {
	report piece.Tray
	unlaid piece.Tray
	untold piece.Tray
	truth  truth
	match  map[int]int // slice of the truth by number of the piece
}

var (
	knownLock sync.Mutex
	knownOf   = map[string]known{}
)

func knownSample(t testing.TB, name string) known {
	t.Helper()
	knownLock.Lock()
	defer knownLock.Unlock()
	if s, ok := knownOf[name]; ok {
		return s
	}
	data, tr := sample(t, name)
	in := input(name, data)
	untold := check(t, in)
	job, match := entered(t, untold, tr)
	in.Ticket = job
	k := known{report: check(t, in), untold: untold, truth: tr, match: match}
	in.LayAngle = ""
	k.unlaid = check(t, in)
	knownOf[name] = k
	return knownOf[name]
}

// An interval must hold the truth, and be no wider than it need be. Of a normal
// error with U of two standard deviations the mean of |error| / U is 0.40 (half of
// sqrt(2/pi)); more would be an interval too narrow, a quarter of it one that says
// too little. The median of U stays below a ceiling, a quarter above what it was when
// this was written: 27 slices, of which eight taper and five were cut with the knife
// laid at 30 to 60 degrees, so that one photo leaves their length open. The weight
// is held also where the angle is not told.
func TestIntervalsAreCalibrated(t *testing.T) {
	laid := func(k known) piece.Tray { return k.report }
	unlaid := func(k known) piece.Tray { return k.unlaid }
	for _, c := range []struct {
		measure *piece.Measure
		told    func(known) piece.Tray
		ceiling float64
	}{{piece.Length, laid, 1.94}, {piece.Width, laid, 0.95}, {piece.Area, laid, 84}, {piece.Weight, laid, 1.22}, {piece.Weight, unlaid, 2.11}} {
		var ratios, us []float64
		for _, name := range samples {
			s := knownSample(t, name)
			for _, p := range c.told(s).MeasuredPieces() {
				v := c.measure.Of(&p)
				ratios, us = append(ratios, math.Abs(v.X-s.want(t, p.Number, c.measure))/v.U), append(us, v.U)
			}
		}
		slices.Sort(us)
		if mean := stat.Mean(ratios, nil); !(mean > 0.1 && mean < 0.4) {
			t.Errorf("%s: |error| / U is %.3f on average, want 0.1 to 0.4", c.measure.Key, mean)
		}
		if mid := stat.Quantile(0.5, stat.Empirical, us, nil); !(mid < c.ceiling) {
			t.Errorf("%s: the median of U is %.2f, want below %.2f", c.measure.Key, mid, c.ceiling)
		}
		out := 0
		for _, r := range ratios {
			if r > 1 {
				out++
			}
		}
		if out > len(ratios)/10 {
			t.Errorf("%s: %d of %d truths lie outside", c.measure.Key, out, len(ratios))
		}
	}
}

// want is a measure of one slice as the scene has it.
func (k known) want(t testing.TB, number int, of *piece.Measure) float64 {
	t.Helper()
	s := k.truth.Slices[k.match[number]]
	m, err := shape.Measure(outlineOf(s.Outline))
	if err != nil {
		t.Fatal(err)
	}
	return map[*piece.Measure]float64{piece.Length: m.Length, piece.Width: m.Width, piece.Area: m.Area, piece.Weight: s.Mass}[of]
}

// What is open of the face goes into the lean that weighs it, times the factor of
// the slice's group: of 80 mm of wall, 40 mm² of doubt leave half a millimetre of its
// run, an eighth of 4 mm of thickness.
func TestDoubtOfTheFaceReachesItsLean(t *testing.T) {
	box := func(width float64) []r2.Vec { return []r2.Vec{{}, {X: 80}, {X: 80, Y: width}, {Y: width}} }
	p := thing{above: parallax.Outlines{Whole: box(35), Face: box(30)}, m: shape.Measures{Size: shape.Size{Area: 80 * 35}},
		lean: r2.Vec{Y: 1.25}, open: doubt{face: 40}}
	got := p.seenLean(4)
	if u := p.factor(piece.Weight) / 8; math.Abs(got.X-1.25) > 1e-9 || math.Abs(got.U-u) > 1e-9 {
		t.Errorf("lean %.4f ± %.4f, want 1.25 ± %.4f", got.X, got.U, u)
	}
}
