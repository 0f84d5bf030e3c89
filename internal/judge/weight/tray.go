package weight

import (
	"math"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
)

// TrayWeight is the reading of a scale for all slices of a tray together, g.
type TrayWeight struct {
	Grams  uncertainty.Value
	Spread float64 // between the slices; ParseTrayWeight sets DefaultSpread
}

// ParseTrayWeight reads a scale's reading in g, such as "118.3", known to half
// of its last digit.
func ParseTrayWeight(text string) (TrayWeight, error) {
	r, err := parseReading(text)
	if err != nil {
		return TrayWeight{}, told("what-tray-weight", text, err)
	}
	return TrayWeight{r, DefaultSpread}, nil
}

// Of knows no thickness before the areas are measured.
func (TrayWeight) Of(int) (Thickness, bool) { return Thickness{}, false }

// Weigh shares the reading among the slices by face area, taking all as equally
// thick: the weights add up to the reading. The pieces must be all that lay on
// the scale. One photo from above cannot see which slice is thicker, so the
// spread of thickness between slices is most of each interval; the density
// cancels, and serves only for the thickness reported. A reading that means
// slices of an impossible thickness is refused.
func (w TrayWeight) Weigh(pieces []Piece, d Density) ([]Weighed, error) {
	if len(pieces) == 0 {
		return nil, phrase.Wrong("tray-none")
	}
	for _, p := range pieces {
		if err := p.check(); err != nil {
			return nil, about(phrase.Of("of-slice", float64(p.Number)), err)
		}
	}
	t, err := w.thickness(pieces, d)
	if err != nil {
		return nil, err
	}
	faces := make([]float64, len(pieces))
	var total float64
	for i, p := range pieces {
		if faces[i], err = p.face(t.X); err != nil {
			return nil, about(phrase.Of("of-slice", float64(p.Number)), err)
		}
		total += faces[i]
	}
	out := make([]Weighed, len(pieces))
	for i, p := range pieces {
		out[i] = Weighed{Number: p.Number, Result: w.share(i, pieces, faces, total, t.X), Thickness: t, Face: faces[i], Shared: true}
	}
	return out, nil
}

// thickness is the one thickness, mm, at which the faces weigh what the scale
// shows: the smaller root of ρ·t·(ΣA - t·ΣE·cot φ) = 1000·m.
func (w TrayWeight) thickness(pieces []Piece, d Density) (Thickness, error) {
	var area, strip float64
	for _, p := range pieces {
		area += p.Area.X
		strip += p.Extent * p.Lean.X
	}
	volume := 1000 * w.Grams.X / d.X
	t := thicknessAt(volume, area, strip)
	if !(t >= thinnest && t <= thickest) {
		return Thickness{}, cannot("tray", t, w.Grams.X, float64(len(pieces)), area/100)
	}
	u := t * uncertainty.Combine(w.Spread, d.Relative(), w.Grams.Relative())
	return Thickness{uncertainty.Value{X: t, U: u}, FromTrayWeight, "cure-one-by-one", true}, nil
}

// cannot tells a weight that means slices t mm thick: NaN where no thickness fits
// walls that lean so far.
func cannot(what string, t float64, numbers ...float64) error {
	if math.IsNaN(t) {
		return phrase.Wrong(what+"-lean", numbers)
	}
	return phrase.Wrong(what+"-cannot", append(numbers, t))
}

// share is the weight of piece i with its budget. With shares w of the total
// its sensitivity to the relative change of its own thickness or area is
// m·(1 - w), and to another's -m·w of that other. A scale error of the print
// is common to all and cancels.
func (w TrayWeight) share(i int, pieces []Piece, faces []float64, total, t float64) uncertainty.Result {
	mine := faces[i] / total
	m := w.Grams.X * mine
	relative := func(of func(j int) float64) float64 {
		var s float64
		for j := range pieces {
			c := -faces[j] / total
			if j == i {
				c = 1 - mine
			}
			s = math.Hypot(s, c*of(j))
		}
		return s
	}
	spread := relative(func(int) float64 { return math.Hypot(w.Spread, sliceSpread) })
	area := relative(func(j int) float64 {
		outline, _ := pieces[j].parts()
		return outline.U / faces[j]
	})
	lean := relative(func(j int) float64 { return pieces[j].Extent * t * pieces[j].Lean.U / faces[j] })
	return uncertainty.Propagate(func(x []float64) float64 { return mine*x[0] + x[1] + x[2] + x[3] },
		uncertainty.Input{Source: sourceReading, Value: w.Grams, Remedy: remedyReading},
		uncertainty.Input{Source: sourceOthers, Value: uncertainty.Value{U: m * spread}, Remedy: "cure-others"},
		uncertainty.Input{Source: sourceArea, Value: uncertainty.Value{U: m * area}, Remedy: remedyArea},
		uncertainty.Input{Source: sourceLean, Value: uncertainty.Value{U: m * lean}, Remedy: pieces[i].Lean.Remedy})
}
