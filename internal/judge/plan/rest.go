package plan

import (
	"errors"
	"math"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/solid"
	"netagauge/internal/see/shape"
)

// Use is what an offcut is good for.
type Use string

// Common practice, no source: the tip of the tail is fibrous and gives nothing
// to serve raw; a small or last piece with weight enough is opened like a book
// (kannon-biraki), cut nearly through and unfolded to twice its width.
const (
	TailTip   Use = "tip"  // the fibrous tip: set apart
	OpenBook  Use = "open" // opened like a book it makes one slice more
	OtherUses Use = "keep" // trim, for chopping and rolls
)

// Offcut is a piece that is not served as it is cut.
type Offcut struct {
	Cut    int     `json:"freed_by_cut"` // one past the last: what is left when the cutting ends
	Where  string  `json:"where"`        // "tail", "head" or "between"
	Weight float64 `json:"weight_g"`
	Use    Use     `json:"use"`
}

// Cost is in the money the price was given in.
type Cost struct{ Slice, Trim, HalfGram, Degree float64 }

// Cost of each slice served, of which Trim is the fish that is not served, of
// half a gram more on each, and of a blade laid a degree flatter: the face is
// h / sin(phi) wide, and the thickness stays. Zero without a price.
func (p Plan) Cost() Cost {
	n, gram := float64(len(p.Slices)), p.Price/1000
	var degree float64 // g
	for _, s := range p.Slices {
		degree += s.Weight * (sineDeg(s.Phi)/sineDeg(s.Phi-1) - 1) / n
	}
	return Cost{gram * p.Block / n, gram * (p.Block - p.Served) / n, gram / 2, gram * degree}
}

// crumb is the least weight of an offcut worth naming, g.
const crumb = 0.5

// offcuts lists what the cuts leave, from the start on.
func (s search) offcuts(p Plan, o Options) []Offcut {
	isSlice := map[int]bool{}
	for _, t := range p.Slices {
		isSlice[t.Number] = true
	}
	finish := map[string]string{"tail": "head", "head": "tail"}[p.Start]
	var out []Offcut
	before := 0.0
	for i := range len(p.planes) + 1 {
		to := s.block.Volume()
		if i < len(p.planes) {
			to = s.block.massBefore(p.planes[i]).Volume
		}
		cut := Offcut{Cut: i, Where: "between", Weight: o.Density * (to - before) / 1000, Use: OtherUses}
		switch before = to; {
		case isSlice[i] || cut.Weight < crumb:
			continue
		case i == 0:
			cut.Where = p.Start
		case i == len(p.planes):
			cut.Where = finish
		}
		switch {
		case o.TailTip && cut.Where == "tail":
			cut.Use = TailTip
		case s.opens(p.planes[min(i, len(p.planes)-1)], cut.Weight):
			cut.Use = OpenBook
		}
		out = append(out, cut)
	}
	return out
}

// opens reports whether a piece with this cut's face makes a slice when it is
// opened like a book: then its face lies twice as wide, or twice as long.
func (s search) opens(c plane, grams float64) bool {
	w := s.house.WeightFor(s.house.group)
	m, err := shape.Measure(solid.Outline(s.block.slab(c, c), closed))
	if err != nil || !inside(grams, w.Low, w.High) {
		return false
	}
	l := s.house.Standard
	return inside(m.Length, l.Length.Low, l.Length.High) && inside(2*m.Width, l.Width.Low, l.Width.High) ||
		inside(2*m.Width, l.Length.Low, l.Length.High) && inside(m.Length, l.Width.Low, l.Width.High)
}

func inside(v, low, high float64) bool { return v >= low && v <= high }

// ErrNoSlice is the error for a block that gives no slice within the standard.
var ErrNoSlice = errors.New("no cut gives a slice within the standard")

// why names the first reason that holds.
func (h house) why(b Block) error {
	wide, high, thin := 0.0, 0.0, math.Inf(1)
	for _, s := range b.stations {
		wide, high = max(wide, s.Width()), max(high, s.Highest())
		thin = min(thin, s.NearHeight, s.FarHeight)
	}
	e := phrase.Wrong("no-slice-small", h.Length.Low, h.Width.Low)
	switch {
	case wide > h.Length.High:
		e = phrase.Wrong("no-slice-wide", wide, h.Length.High)
	case high > h.Width.High:
		e = phrase.Wrong("no-slice-high", high, h.Width.High)
	case thin < high/2:
		e = phrase.Wrong("no-slice-slope", thin, high)
	}
	e.Cause = ErrNoSlice
	return e
}
