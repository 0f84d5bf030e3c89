package inspect

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/parallax"
	"netagauge/internal/see/segment"
	"netagauge/internal/see/shape"
)

// facings are the outward normals of a long side and of the end next to it, whether
// two long sides run along each other, and whether the piece is a block's whole
// section: two pairs of sides that do.
type facings struct {
	n, m         r2.Vec
	long, square bool
}

func facingsOf(p segment.Piece) facings {
	axis := shape.Outline(p.Outline).LongAxis()
	n, long := pair(p.Walls, r2.Vec{X: -axis.Y, Y: axis.X})
	m, ends := pair(p.Walls, axis)
	return facings{n, m, long, long && ends}
}

// Sides that run along each other, and how far a side may face off from where it
// is looked for: cosines of some 15° and 50°.
const (
	opposite = 0.966
	lookedAt = 0.64
)

// pair is the normal of the two opposite sides that face most along a direction;
// that direction itself where there are none.
func pair(walls []segment.Wall, n r2.Vec) (r2.Vec, bool) {
	var best r2.Vec
	var longest float64
	for i, a := range walls {
		for _, b := range walls[i+1:] {
			// Walls of one slice that face each other are about as long. Our setting.
			if r2.Dot(a.Normal, b.Normal) > -opposite || math.Abs(r2.Dot(a.Normal, n)) < lookedAt || b.Length < 0.6*a.Length {
				continue
			}
			if a.Length > longest {
				longest = a.Length
				best = r2.Scale(math.Copysign(1, r2.Dot(a.Normal, n)), r2.Unit(r2.Sub(a.Normal, b.Normal)))
			}
		}
	}
	if longest == 0 {
		return n, false
	}
	return best, true
}

// laid are the sides that a lay may be told of: the long ones, or where no two run along
// each other, as in a triangle, all that face about as a long one would.
func (p *thing) laid() (out []parallax.Side) {
	for _, w := range p.seen.Walls {
		if !p.faces.long && math.Abs(r2.Dot(w.Normal, p.faces.n)) > lookedAt {
			out = append(out, sideOf(w))
		}
	}
	if out == nil {
		out = []parallax.Side{{Normal: p.faces.n, Length: 1}}
	}
	return out
}

// size is how far a piece as seen extends along two directions, mm.
func size(p *thing, m, n r2.Vec) (length, width float64) {
	return extent(p.seen.Outline, m), extent(p.seen.Outline, n)
}

func extent(outline []r2.Vec, dir r2.Vec) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range outline {
		d := r2.Dot(q, dir)
		lo, hi = math.Min(lo, d), math.Max(hi, d)
	}
	return hi - lo
}
