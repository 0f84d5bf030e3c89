// Package solid is what a knife leaves: bodies with flat faces, cut by planes.
// It speaks mm, mm² and mm³ and is pure geometry. A Slice is given by its lower
// and its upper face, as a photo tells it; a Body is any block in convex cells,
// clipped by the planes of two cuts, as a plan needs it. A bar's slice is both,
// and a test holds them to the same numbers.
package solid

import (
	"cmp"
	"math"
	"slices"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"
)

// Slice lies on its lower face. Both faces are level polygons seen from above,
// mm, with as many corners each: the k-th of one and the k-th of the other end
// the same edge between two walls. Height is the distance between the faces. In
// a plain bar the upper face is the lower one shifted (an oblique prism).
type Slice struct {
	Lower, Upper []r2.Vec
	Height       float64
}

// Shifted is the oblique prism over a face.
func Shifted(lower []r2.Vec, by r2.Vec, height float64) Slice {
	upper := make([]r2.Vec, len(lower))
	for i, p := range lower {
		upper[i] = r2.Add(p, by)
	}
	return Slice{lower, upper, height}
}

// At is the section at a share of the height, 0 the lower face, 1 the upper.
func (s Slice) At(share float64) []r2.Vec {
	out := make([]r2.Vec, len(s.Lower))
	for i, p := range s.Lower {
		out[i] = r2.Add(p, r2.Scale(share, r2.Sub(s.Upper[i], p)))
	}
	return out
}

// Volume by the prismoidal formula, h/6 (lower + 4 middle + upper), exact where
// the edges between the walls run straight.
func (s Slice) Volume() float64 {
	return s.Height / 6 * (Area(s.Lower) + 4*Area(s.At(0.5)) + Area(s.Upper))
}

// Thickness is the volume by the upper face's area; see the project's words.
func (s Slice) Thickness() float64 { return s.Volume() / Area(s.Upper) }

// Above is the slice's outline from straight above: both faces and the walls
// that lean out beside them. Nil where there is none.
func (s Slice) Above() []r2.Vec {
	if Convex(s.Lower) && Convex(s.Upper) {
		return Hull(slices.Concat(s.Lower, s.Upper))
	}
	parts := [][]r2.Vec{s.Lower, s.Upper}
	for i := range s.Lower {
		k := (i + 1) % len(s.Lower)
		parts = append(parts, Hull([]r2.Vec{s.Lower[i], s.Lower[k], s.Upper[k], s.Upper[i]}))
	}
	return Union(parts)
}

// Area inside a polygon, mm².
func Area(p []r2.Vec) float64 { return math.Abs(SignedArea(p)) }

// SignedArea is positive when a polygon turns from x towards y: clockwise where y
// runs down (shoelace formula, about the first corner to keep digits far from the
// origin).
func SignedArea(p []r2.Vec) float64 {
	var sum float64
	for i := 1; i+1 < len(p); i++ {
		sum += r2.Cross(r2.Sub(p[i], p[0]), r2.Sub(p[i+1], p[0]))
	}
	return sum / 2
}

// Convex reports whether a polygon turns one way all round, but for what
// rounding does.
func Convex(p []r2.Vec) bool { return Area(p) >= Area(Hull(p))*(1-1e-9) }

// Hull is the convex hull of points (Andrew's monotone chain, 1979).
func Hull(p []r2.Vec) []r2.Vec {
	ps := slices.Clone(p)
	slices.SortFunc(ps, byX)
	half := func(out []r2.Vec) []r2.Vec {
		from := len(out)
		for _, v := range ps {
			for len(out) >= from+2 && r2.Cross(r2.Sub(out[len(out)-1], out[len(out)-2]), r2.Sub(v, out[len(out)-1])) <= 0 {
				out = out[:len(out)-1]
			}
			out = append(out, v)
		}
		return out[:max(from, len(out)-1)]
	}
	lower := half(make([]r2.Vec, 0, len(ps)+1))
	slices.Reverse(ps)
	return half(lower)
}

func byX(a, b r2.Vec) int {
	switch {
	case a.X < b.X:
		return -1
	case a.X > b.X:
		return 1
	}
	return cmp.Compare(a.Y, b.Y)
}

// Union is the outline of polygons that overlap or touch: of the largest part,
// where they do not hang together, and without holes. Nil where they have no
// area.
func Union(parts [][]r2.Vec) []r2.Vec {
	var all []geom.Geometry
	for _, p := range parts {
		if Area(p) > 1e-9 {
			all = append(all, polygon(p))
		}
	}
	whole, err := geom.UnaryUnion(geom.NewGeometryCollection(all).AsGeometry())
	if err != nil {
		return nil
	}
	var best []r2.Vec
	for _, g := range whole.Dump() {
		if p, ok := g.AsPolygon(); ok {
			if ring := corners(p); Area(ring) > Area(best) {
				best = ring
			}
		}
	}
	return best
}

// overlap is by how much of its size a part is enlarged before a union, so that
// parts that touch hang together whatever rounding does.
const overlap = 1e-7

func polygon(p []r2.Vec) geom.Geometry {
	var middle r2.Vec
	for _, v := range p {
		middle = r2.Add(middle, r2.Scale(1/float64(len(p)), v))
	}
	xy := make([]float64, 0, 2*len(p)+2)
	for i := range len(p) + 1 {
		v := r2.Add(middle, r2.Scale(1+overlap, r2.Sub(p[i%len(p)], middle)))
		xy = append(xy, v.X, v.Y)
	}
	return geom.NewPolygon([]geom.LineString{geom.NewLineString(geom.NewSequence(xy, geom.DimXY))}).AsGeometry()
}

func corners(p geom.Polygon) []r2.Vec {
	ring := p.ExteriorRing().Coordinates()
	out := make([]r2.Vec, 0, ring.Length())
	for i := range ring.Length() - 1 {
		c := ring.GetXY(i)
		out = append(out, r2.Vec{X: c.X, Y: c.Y})
	}
	return out
}
