// Package plan works out how to cut a block of fish into slices of a wanted
// size and weight. It speaks mm, mm³, g and degrees.
//
// Frame: the block lies on the board, z up from it. x runs along the block
// from its tail end; y runs across it, away from the cook. A section across x
// is a rectangle from the near edge to the far edge, as high as the block is
// there; between stations all three run straight. Cuts are planes: the blade's
// trace on the board makes the plan angle theta with x, the blade makes the lay
// angle phi with the board. A slice's face is the section of the block by the
// plane: W / sin(theta) long and h / sin(phi) wide where the block is a plain
// bar. The slice lies on its face, and its walls lean out beside it as the blade
// did; its length and width are those of the outline as seen from straight
// above, which a photo shows and the house standard is held against. They are
// solved on the solid itself. Cuts with thickness t between them are
// t / (sin(theta) sin(phi)) apart along x.
//
// The package plans and draws nothing; it takes no account of the kerf (a
// knife has none), of flesh giving way under the blade, or of rounded edges.
package plan

import (
	"errors"
	"fmt"
	"math"
)

// Station is the block's section at X mm from its tail end: a rectangle from
// the near edge Y = Near to the far edge Y = Far, Height mm high.
type Station struct {
	X      float64 `json:"x_mm"`
	Near   float64 `json:"near_mm"`
	Far    float64 `json:"far_mm"`
	Height float64 `json:"height_mm"`
}

// Width of the section, mm.
func (s Station) Width() float64 { return s.Far - s.Near }

// At is a section of a straight block: its width lies evenly about the axis.
func At(x, width, height float64) Station {
	return Station{X: x, Near: -width / 2, Far: width / 2, Height: height}
}

// Block is a checked row of at least two stations, the first at X = 0.
type Block struct {
	stations []Station
	before   []float64 // the volume up to each station, mm³
	box      Station   // about all sections; X is not used
}

// newBlock sums up what every cut asks of the stations.
func newBlock(stations []Station) Block {
	b := Block{stations, make([]float64, len(stations)), stations[0]}
	for i, s := range stations[1:] {
		b.before[i+1] = b.before[i] + stretchVolume(stations[i], s)
		b.box.Near, b.box.Far, b.box.Height = min(b.box.Near, s.Near), max(b.box.Far, s.Far), max(b.box.Height, s.Height)
	}
	return b
}

// limits on what can be a block, mm. No fillet is larger; a slip of the unit
// (cm for mm, or the reverse) is likelier.
const (
	maxLength   = 2000.0
	maxSection  = 400.0
	minSize     = 1.0
	maxStations = 1000
)

// NewBlock checks the stations, which must run from the tail end on, and puts
// the first at X = 0.
func NewBlock(stations []Station) (Block, error) {
	switch {
	case len(stations) < 2:
		return Block{}, errors.New("a block needs two stations at least, one at each end")
	case len(stations) > maxStations:
		return Block{}, fmt.Errorf("%d stations are too many; %d are plenty", len(stations), maxStations)
	}
	out := make([]Station, len(stations))
	for i, s := range stations {
		if err := s.check(); err != nil {
			return Block{}, fmt.Errorf("station %d: %w", i+1, err)
		}
		if i > 0 && s.X <= stations[i-1].X {
			return Block{}, fmt.Errorf("station %d lies at %g mm, not beyond station %d at %g mm: give them in order from the tail", i+1, s.X, i, stations[i-1].X)
		}
		s.X -= stations[0].X
		out[i] = s
	}
	if l := out[len(out)-1].X; l < minSize || l > maxLength {
		return Block{}, fmt.Errorf("a block %g mm long cannot be: give mm, from %g to %g", l, minSize, maxLength)
	}
	return newBlock(out), nil
}

func (s Station) check() error {
	for _, v := range []float64{s.X, s.Near, s.Far, s.Height} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return errors.New("a size is not a number")
		}
	}
	for _, size := range []struct {
		name string
		mm   float64
	}{{"wide", s.Width()}, {"high", s.Height}} {
		if size.mm < minSize || size.mm > maxSection {
			return fmt.Errorf("%g mm %s cannot be: give mm, from %g to %g", size.mm, size.name, minSize, maxSection)
		}
	}
	return nil
}

// Stations returns a copy of the block's stations.
func (b Block) Stations() []Station { return append([]Station(nil), b.stations...) }

// Length of the block along x, mm.
func (b Block) Length() float64 { return b.stations[len(b.stations)-1].X }

// Section is the block's section at x, straight between stations, that of the
// nearer end beyond them.
func (b Block) Section(x float64) Station {
	s := b.stations
	i := 1
	for i < len(s)-1 && s[i].X < x {
		i++
	}
	a, c := s[i-1], s[i]
	f := min(max((x-a.X)/(c.X-a.X), 0), 1)
	mix := func(p, q float64) float64 { return p + f*(q-p) }
	return Station{X: mix(a.X, c.X), Near: mix(a.Near, c.Near), Far: mix(a.Far, c.Far), Height: mix(a.Height, c.Height)}
}

// Volume of the block, mm³.
func (b Block) Volume() float64 { return b.before[len(b.before)-1] }

// stretchVolume is that between two stations: Simpson's rule, exact as width
// and height run straight there.
func stretchVolume(p, q Station) float64 {
	mid := (p.Width() + q.Width()) / 2 * (p.Height + q.Height) / 2
	return (q.X - p.X) / 6 * (p.Width()*p.Height + 4*mid + q.Width()*q.Height)
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

// widest and highest are the stations of the greatest width and height.
func (b Block) widest() Station {
	return b.extreme(func(s Station) float64 { return s.Width() })
}

func (b Block) highest() Station {
	return b.extreme(func(s Station) float64 { return s.Height })
}

func (b Block) extreme(size func(Station) float64) Station {
	best := b.stations[0]
	for _, s := range b.stations {
		if size(s) > size(best) {
			best = s
		}
	}
	return best
}
