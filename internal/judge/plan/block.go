// Package plan works out how to cut a block of fish into slices within a house
// standard. It speaks mm, mm³, g and degrees.
//
// Frame: the block lies on the board, z up from it. x runs along the block
// from its tail end; y runs across it, away from the cook. A section across x
// goes from the near edge to the far edge and is as high as told at the near
// side, in the middle and at the far side; between stations all runs straight.
// Cuts are planes: the blade's trace on the board makes the plan angle theta
// with x, the blade makes the lay angle phi with the board. A slice is what two
// cuts leave of the block, clipped by core/solid; it lies on the later cut's
// face and is measured and judged from straight above as a photographed one is.
// In a plain bar the face is W / sin(theta) long and h / sin(phi) wide, and cuts
// with thickness t between them are t / (sin(theta) sin(phi)) apart along x
// (common practice, no source).
//
// All cuts are flat. A blade whose lay changes on the way, from phi to psi, leaves
// parallel copies t·sin(phi) apart at one end and t·sin(psi) at the other: a
// triangular slice evened out by a seventh of its width is 0.6 mm of 4 thicker at
// one end, all that a check lets pass. Such a block is turned, trimmed or opened.
//
// The package plans and draws nothing; it takes no account of the kerf (a
// knife has none), of flesh giving way under the blade, or of rounded edges.
package plan

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/solid"
)

// Station is the block's section at X mm from its tail end: from the near edge
// Y = Near to the far edge Y = Far, so high at each edge and half-way between.
type Station struct {
	X          float64 `json:"x_mm"`
	Near       float64 `json:"near_mm"`
	Far        float64 `json:"far_mm"`
	NearHeight float64 `json:"near_height_mm"`
	Height     float64 `json:"height_mm"` // in the middle
	FarHeight  float64 `json:"far_height_mm"`
}

// Width of the section, mm.
func (s Station) Width() float64 { return s.Far - s.Near }

// Highest of the section, mm.
func (s Station) Highest() float64 { return max(s.NearHeight, s.Height, s.FarHeight) }

// area of the section, mm².
func (s Station) area() float64 { return s.Width() * (s.NearHeight + 2*s.Height + s.FarHeight) / 4 }

// Level reports whether the section is a rectangle.
func (s Station) Level() bool { return s.NearHeight == s.Height && s.Height == s.FarHeight }

// At is a rectangular section of a straight block: its width lies evenly about
// the axis.
func At(x, width, height float64) Station { return Sloping(x, width, height, height, height) }

// Sloping is a section whose height differs from side to side.
func Sloping(x, width, near, middle, far float64) Station {
	return Station{X: x, Near: -width / 2, Far: width / 2, NearHeight: near, Height: middle, FarHeight: far}
}

// mix is the section a share of the way from s to t.
func (s Station) mix(t Station, share float64) Station {
	m := func(a, b float64) float64 { return a + share*(b-a) }
	return Station{m(s.X, t.X), m(s.Near, t.Near), m(s.Far, t.Far), m(s.NearHeight, t.NearHeight), m(s.Height, t.Height), m(s.FarHeight, t.FarHeight)}
}

// Block is a checked row of at least two stations, the first at X = 0.
type Block struct {
	stations []Station
	body     solid.Body
	first    []int        // the first cell of each stretch, and one past the last
	before   []solid.Mass // of the body up to each station
	box      Station      // about all sections; X is not used
}

// newBlock builds the body, a column or two to each stretch.
func newBlock(stations []Station) Block {
	b := Block{stations: stations, first: []int{0}, before: make([]solid.Mass, 1), box: stations[0]}
	for i, q := range stations[1:] {
		p := stations[i]
		columns := stretch(p, q)
		b.body = append(b.body, columns...)
		b.first = append(b.first, len(b.body))
		b.before = append(b.before, b.before[i].Plus(columns.Whole()))
		b.box.Near, b.box.Far, b.box.Height = min(b.box.Near, q.Near), max(b.box.Far, q.Far), max(b.box.Height, p.Highest(), q.Highest())
	}
	return b
}

// stretch between two stations: one column, or one on each side of the middle
// where that bends.
func stretch(p, q Station) solid.Body {
	column := func(from, to float64, near, far func(Station) float64) solid.Cell {
		at := func(s Station, share float64) r2.Vec { return r2.Vec{X: s.X, Y: s.Near + share*s.Width()} }
		return solid.Column([4]r2.Vec{at(p, from), at(q, from), at(q, to), at(p, to)}, [4]float64{near(p), near(q), far(q), far(p)})
	}
	near := func(s Station) float64 { return s.NearHeight }
	middle := func(s Station) float64 { return s.Height }
	far := func(s Station) float64 { return s.FarHeight }
	if p.even() && q.even() {
		return solid.Body{column(0, 1, near, far)}
	}
	return solid.Body{column(0, 0.5, near, middle), column(0.5, 1, middle, far)}
}

// even reports whether the top of the section does not bend in the middle.
func (s Station) even() bool { return math.Abs(s.NearHeight+s.FarHeight-2*s.Height) < 1e-9 }

// limits on what can be a block, mm. No fillet is larger; a slip of the unit
// (cm for mm, or the reverse) is likelier.
const (
	maxLength   = 2000.0
	maxSection  = 400.0
	minSize     = 1.0
	maxStations = 1000
)

// Bar is a block whose sections are all the same rectangle.
func Bar(length, width, height float64) (Block, error) {
	return NewBlock([]Station{At(0, width, height), At(length, width, height)})
}

// NewBlock checks the stations, which must run from the tail end on, and puts
// the first at X = 0.
func NewBlock(stations []Station) (Block, error) {
	switch {
	case len(stations) < 2:
		return Block{}, phrase.Wrong("block-stations-few")
	case len(stations) > maxStations:
		return Block{}, phrase.Wrong("block-stations-many", float64(len(stations)), maxStations)
	}
	out := make([]Station, len(stations))
	for i, s := range stations {
		if err := s.check(); err != nil {
			return Block{}, phrase.Because(err, "block-station", i+1)
		}
		if i > 0 && s.X <= stations[i-1].X {
			return Block{}, phrase.Wrong("block-stations-order", float64(i+1), s.X, float64(i), stations[i-1].X)
		}
		s.X -= stations[0].X
		out[i] = s
	}
	if l := out[len(out)-1].X; l < minSize || l > maxLength {
		return Block{}, phrase.Wrong("block-long", l, minSize, maxLength)
	}
	return newBlock(out), nil
}

func (s Station) check() error {
	for _, v := range []float64{s.X, s.Near, s.Far, s.NearHeight, s.Height, s.FarHeight} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return phrase.Wrong("block-no-number")
		}
	}
	if low := min(s.NearHeight, s.Height, s.FarHeight); low < 0 {
		return phrase.Wrong("block-below", low)
	}
	for _, size := range []struct {
		wrong string
		mm    float64
	}{{"block-wide", s.Width()}, {"block-high", s.Highest()}} {
		if size.mm < minSize || size.mm > maxSection {
			return phrase.Wrong(size.wrong, size.mm, minSize, maxSection)
		}
	}
	return nil
}

// Stations returns a copy of the block's stations.
func (b Block) Stations() []Station { return append([]Station(nil), b.stations...) }

// Length of the block along x, mm.
func (b Block) Length() float64 { return b.stations[len(b.stations)-1].X }

// isBar reports whether all sections are one rectangle.
func (b Block) isBar() bool {
	first := b.stations[0]
	return first.Level() && !slices.ContainsFunc(b.stations, func(s Station) bool {
		s.X = first.X
		return s != first
	})
}

// Volume of the block, mm³.
func (b Block) Volume() float64 { return b.before[len(b.before)-1].Volume }

// Section is the block's section at x, straight between stations, that of the
// nearer end beyond them.
func (b Block) Section(x float64) Station {
	s := b.stations
	i, _ := slices.BinarySearchFunc(s, x, func(s Station, x float64) int { return cmp.Compare(s.X, x) })
	i = min(max(i, 1), len(s)-1)
	return s[i-1].mix(s[i], min(max((x-s[i-1].X)/(s[i].X-s[i-1].X), 0), 1))
}

// point on the section at x, a share of the way from the near side to the far
// one, on top or on the board.
func (b Block) point(x, share float64, top bool) r3.Vec {
	s := b.Section(x)
	p := r3.Vec{X: x, Y: s.Near + share*s.Width()}
	if top {
		p.Z = s.heightAt(share)
	}
	return p
}

// heightAt is the section's height a share of the way across.
func (s Station) heightAt(share float64) float64 {
	if share < 0.5 {
		return s.NearHeight + 2*share*(s.Height-s.NearHeight)
	}
	return s.Height + (2*share-1)*(s.FarHeight-s.Height)
}

// slopes reports whether one side is lower than the other.
func (b Block) slopes() bool {
	return slices.ContainsFunc(b.stations, func(s Station) bool { return math.Abs(s.NearHeight-s.FarHeight) >= 1 })
}

// turned is the block with its far side near, x still running from the tail end.
func (b Block) turned() Block {
	out := make([]Station, len(b.stations))
	for i, s := range b.stations {
		out[i] = Station{s.X, -s.Far, -s.Near, s.FarHeight, s.Height, s.NearHeight}
	}
	return newBlock(out)
}

// reversed is the block seen from its head end: x runs from there.
func (b Block) reversed() Block {
	n, l := len(b.stations), b.Length()
	out := make([]Station, n)
	for i, s := range b.stations {
		s.X = l - s.X
		out[n-1-i] = s
	}
	return newBlock(out)
}
