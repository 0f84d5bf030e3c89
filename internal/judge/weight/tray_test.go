package weight

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/uncertainty"
)

func TestTrayWeightIsSharedByFace(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var tray []Piece
		var area float64
		for i := range rapid.IntRange(1, 20).Draw(rt, "slices") {
			s := plainSlice(rapid.Float64Range(1500, 3500).Draw(rt, "area"))
			s.Lean.X = rapid.Float64Range(0, 1).Draw(rt, "lean")
			tray = append(tray, Piece{i + 1, s})
			area += s.Area.X
		}
		grams := rapid.Float64Range(1.5, 4).Draw(rt, "mean thickness") * area * 1.05 / 1000
		w := TrayWeight{uncertainty.Value{X: grams, U: 0.03}, DefaultSpread}
		got, err := w.Weigh(tray, densityOf(1.05, 0.01))
		if err != nil {
			rt.Skip(err) // leans that leave no face are refused, as the tables check
		}
		var sum, volume float64
		for _, p := range got {
			sum += p.X
			volume += p.Face * p.Thickness.X
		}
		if math.Abs(sum-grams) > 1e-9*grams {
			rt.Errorf("the weights add up to %.9f g, the scale reads %.9f", sum, grams)
		}
		if math.Abs(volume*1.05/1000-grams) > 1e-6*grams {
			rt.Errorf("faces × thickness × density is %.4f g, the scale reads %.4f", volume*1.05/1000, grams)
		}
		if len(got) == 1 && math.Abs(got[0].U-0.03) > 1e-9 {
			rt.Errorf("a single slice weighs what the scale says, ± 0.03 g, not ± %.4f", got[0].U)
		}
	})
}

// The interval must cover what it cannot see: slices whose true thickness has
// the stated spread, normal, and areas with their own noise. Simulated, seeded:
// 400 trays of 8.
func TestTrayWeightIntervalCoverage(t *testing.T) {
	rng := newNormal(11)
	inside, all := 0, 0
	for range 400 {
		var tray []Piece
		var truth []float64
		var total float64
		for i := range 8 {
			area := 2500 * (1 + 0.15*rng())
			truth = append(truth, area*4*(1+0.15*rng())*1.05/1000)
			total += truth[i]
			seen := area * (1 + 0.01*rng())
			tray = append(tray, Piece{i + 1, Slice{Area: uncertainty.Value{X: seen, U: 0.01 * seen}, Extent: 80}})
		}
		got, err := TrayWeight{uncertainty.Value{X: total, U: 0.03}, 0.15}.Weigh(tray, densityOf(1.05, 0.01))
		fatal.If(t, err)
		for i, w := range got {
			all++
			if math.Abs(w.X-truth[i]) <= w.Expanded() {
				inside++
			}
		}
	}
	if share := float64(inside) / float64(all); share < 0.93 || share > 0.975 {
		t.Errorf("%.1f %% of the true weights lie inside the interval, want about 95", 100*share)
	}
}

func TestTrayWeightRefuses(t *testing.T) {
	tray := []Piece{{1, plainSlice(2700)}, {2, plainSlice(2600)}}
	lean := []Piece{{1, plainSlice(2700)}}
	lean[0].Lean.X = 3
	for name, c := range map[string]struct {
		grams string
		tray  []Piece
		want  string
	}{
		"too light":   {"2", tray, "0.36 mm thick"},
		"too heavy":   {"1183", tray, "cannot be"},
		"no pieces":   {"24", nil, "no slice is measured"},
		"lean":        {"30", lean, "lean so far"},
		"a bad slice": {"24", []Piece{{4, Slice{}}}, "slice 4: a slice without area"},
	} {
		w, err := ParseTrayWeight(c.grams)
		fatal.If(t, err)
		got, err := w.Weigh(c.tray, densityOf(1.05, 0.01))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %+v, error %v, want one that says %q", name, got, err, c.want)
		}
	}
	for _, bad := range []string{"", "0", "-5", "NaN", "118,3", "118.3g", "1e2"} {
		if w, err := ParseTrayWeight(bad); err == nil {
			t.Errorf("a tray weight of %q is taken: %+v", bad, w)
		}
	}
}
