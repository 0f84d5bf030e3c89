package weight

import (
	"math"
	"strconv"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
)

// UsualInterval is the scale interval of a kitchen's scale, g, where none is
// told. Our setting, common practice, no source.
const UsualInterval = "0.1"

// widestInterval is the coarsest scale that says anything of a slice, g.
const widestInterval = 2.0

// Readings are what a scale showed of slices weighed one by one, g.
type Readings struct{ told []numbered }

// ParseWeights reads "1:11.8,2:12.4", slice numbers with what a scale of the
// given interval showed, g; no interval is UsualInterval. A reading stands for
// anything within half an interval of it, each equally likely: u = d/√12 (GUM
// 4.3.7 and F.2.2.1), whatever digits were written down.
func ParseWeights(text, interval string) (Readings, error) {
	if interval == "" {
		interval = UsualInterval
	}
	d, err := parseReading(interval)
	if err != nil || d.X > widestInterval {
		return Readings{}, phrase.Wrong("scale-interval", strconv.Quote(interval), widestInterval)
	}
	told, err := parseNumbered("what-weight", text)
	for i := range told {
		told[i].Reading = uncertainty.Rectangular(told[i].Reading.X, d.X/2)
	}
	return Readings{told}, err
}

// None reports whether no slice was weighed.
func (r Readings) None() bool { return len(r.told) == 0 }

// OnScale weighs the slices that lay on a scale by what it showed, and the others
// by Otherwise, nil for nothing.
type OnScale struct {
	Readings
	Otherwise Source
}

// Of is what is known of a slice's thickness before its face is measured.
func (s OnScale) Of(number int) (Thickness, bool) {
	if s.Otherwise == nil {
		return Thickness{}, false
	}
	return s.Otherwise.Of(number)
}

// Weigh needs no density for a slice that was weighed: its weight is what the
// scale showed. Its thickness follows from weight, face and density, unless it is
// better known. A reading for a slice that is not there is refused, and one that
// means a slice of an impossible thickness.
func (s OnScale) Weigh(pieces []Piece, d Density) ([]Weighed, error) {
	if err := checkNumbers("what-weight", s.told, pieces); err != nil {
		return nil, err
	}
	var out []Weighed
	var rest []Piece
	for _, p := range pieces {
		grams, weighed := s.reading(p.Number)
		if !weighed {
			rest = append(rest, p)
			continue
		}
		w, err := s.weighOne(p, grams, d)
		if err != nil {
			return nil, about(phrase.Of("of-slice", float64(p.Number)), err)
		}
		out = append(out, w)
	}
	if s.Otherwise == nil || len(rest) == 0 {
		return out, nil
	}
	others, err := s.Otherwise.Weigh(rest, d)
	return append(out, others...), err
}

func (r Readings) reading(number int) (uncertainty.Value, bool) {
	for _, n := range r.told {
		if n.Number == number {
			return n.Reading, true
		}
	}
	return uncertainty.Value{}, false
}

func (s OnScale) weighOne(p Piece, grams uncertainty.Value, d Density) (Weighed, error) {
	t, err := p.thicknessFor(grams, d)
	if err != nil {
		return Weighed{}, err
	}
	if known, told := s.Of(p.Number); told && known.U < t.U {
		t = known
	}
	face, err := p.face(t.X)
	if err != nil {
		return Weighed{}, err
	}
	r := uncertainty.Propagate(func(x []float64) float64 { return x[0] },
		uncertainty.Input{Source: sourceReading, Value: grams, Remedy: remedyReading})
	return Weighed{Number: p.Number, Result: r, Thickness: t, Face: face}, nil
}

// thicknessFor is the thickness at which a slice has a weight, mm: the smaller
// root of ρ·t·(A - t·E·cot φ) = 1000·m.
func (s Slice) thicknessFor(grams uncertainty.Value, d Density) (Thickness, error) {
	if err := s.check(); err != nil {
		return Thickness{}, err
	}
	if t := thicknessAt(1000*grams.X/d.X, s.Area.X, s.Extent*s.Lean.X); math.IsNaN(t) {
		return Thickness{}, cannot("weight", t, grams.X, s.Area.X/100)
	}
	outline, scale := s.parts()
	r := uncertainty.Propagate(func(x []float64) float64 {
		k := x[2] // a change of print scale stretches both sides of the outline
		volume, area, strip := 1000*x[0]/x[3], x[1]*k*k, s.Extent*k*x[4]
		return thicknessAt(min(volume, mostVolume(area, strip)), area, strip)
	},
		uncertainty.Input{Source: sourceReading, Value: grams, Remedy: remedyReading},
		uncertainty.Input{Source: sourceArea, Value: outline, Remedy: remedyArea},
		uncertainty.Input{Source: sourceScale, Value: scale, Remedy: remedyScale},
		uncertainty.Input{Source: sourceDensity, Value: d.Value, Remedy: d.Remedy},
		uncertainty.Input{Source: sourceLean, Value: s.Lean.Value, Remedy: s.Lean.Remedy})
	if !(r.X >= thinnest && r.X <= thickest) {
		return Thickness{}, cannot("weight", r.X, grams.X, s.Area.X/100)
	}
	return Thickness{r.Value, FromScale, "cure-thickness", false}, nil
}

// mostVolume is the largest that a slice can have whose walls lean inwards: where
// its wall meets in a ridge. A lean that is hardly known may vary beyond it.
func mostVolume(area, strip float64) float64 {
	if strip <= 0 {
		return math.Inf(1)
	}
	return area * area / (4 * strip)
}

// thicknessAt is the smaller root t of t·(area - t·strip) = volume, mm³, mm² and
// mm; not a number where no such slice can be.
func thicknessAt(volume, area, strip float64) float64 {
	return 2 * volume / (area + math.Sqrt(area*area-4*strip*volume))
}
