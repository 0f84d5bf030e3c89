package weight

import (
	"fmt"
	"math"

	"netagauge/internal/uncertainty"
)

// Face is the cut face of a slice as measured: its area in mm² with its
// standard uncertainty.
type Face struct{ Area, U float64 }

// FaceOf takes the strip of leaning wall off an outline: with the blade laid at
// phi degrees to the board, walls lean by t / tan φ, and the outline is the
// face plus a strip of that width along its length.
func FaceOf(area, u, length, t, phi float64) Face {
	if !(phi > 0 && phi < 90) {
		return Face{area, u}
	}
	return Face{math.Max(0, area-length*t/math.Tan(phi*math.Pi/180)), u}
}

// Weight of a slice in g, with its expanded uncertainty (k = 2) and what that
// comes from, largest first.
type Weight struct {
	Grams, U float64
	Budget   []uncertainty.Share
}

// Of multiplies area, thickness and density.
func Of(f Face, t Thickness, d Density) Weight {
	r := uncertainty.Propagate(func(x []float64) float64 { return x[0] * x[1] * x[2] / 1000 }, // mm³·g/cm³ to g
		uncertainty.Input{Source: "area", Value: uncertainty.Value{X: f.Area, U: f.U}, Remedy: "photograph from straight above and closer; verify the mat's print with a card"},
		uncertainty.Input{Source: "thickness", Value: uncertainty.Value{X: t.Value, U: t.U}, Remedy: "measure each slice's thickness, or take a second photo"},
		uncertainty.Input{Source: "density", Value: uncertainty.Value{X: d.Value, U: d.U}, Remedy: "name the species"},
	)
	return Weight{r.X, r.Expanded(), r.Budget}
}

// MeanThickness is what the weight of a whole tray, in g, implies for slices of
// the given faces, mm.
func MeanThickness(grams float64, faces []Face, d Density) (Thickness, error) {
	var area float64
	for _, f := range faces {
		area += f.Area
	}
	if !(grams > 0) || !(area > 0) {
		return Thickness{}, fmt.Errorf("a tray weight of %g g cannot be shared among %d slices", grams, len(faces))
	}
	t := grams * 1000 / (d.Value * area)
	if !(t >= minThickness && t <= maxThickness) {
		return Thickness{}, fmt.Errorf("a tray weight of %g g means slices %.2g mm thick: weigh the fish alone, in grams", grams, t)
	}
	return Thickness{t, betweenSlices * t, TrayScale}, nil
}

// Share splits a tray's weight by face area: the sum is the scale's reading, and
// each slice's interval says that its own thickness is not known.
func Share(grams float64, faces []Face, d Density) ([]Weight, error) {
	t, err := MeanThickness(grams, faces, d)
	if err != nil {
		return nil, err
	}
	out := make([]Weight, len(faces))
	for i, f := range faces {
		out[i] = Of(f, t, Density{Value: d.Value, Source: d.Source}) // the scale knows ρ·t together
	}
	return out, nil
}
