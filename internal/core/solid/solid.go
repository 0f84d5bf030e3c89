// Package solid is what a knife leaves: bodies with flat faces, cut by planes.
// It speaks mm, mm² and mm³ and is pure geometry. A Body is any block in convex
// cells, clipped by the planes of two cuts, as a plan needs it.
package solid

import (
	"cmp"
	"math"
	"slices"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"
)

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

// Centroid is the centre of the area that a polygon encloses; NaN without one.
func Centroid(p []r2.Vec) r2.Vec {
	var c r2.Vec
	if len(p) == 0 {
		return r2.Vec{X: math.NaN(), Y: math.NaN()}
	}
	for i, q := range p {
		a, b := r2.Sub(q, p[0]), r2.Sub(p[(i+1)%len(p)], p[0])
		c = r2.Add(c, r2.Scale(r2.Cross(a, b), r2.Add(a, b)))
	}
	return r2.Add(p[0], r2.Scale(1/(6*SignedArea(p)), c))
}

// Inside reports whether a point lies in a polygon: a ray from it crosses the
// outline an odd number of times.
func Inside(poly []r2.Vec, p r2.Vec) bool {
	in := false
	for i, a := range poly {
		b := poly[(i+1)%len(poly)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

// Hull is the convex hull of points (Andrew's monotone chain, 1979).
func Hull(p []r2.Vec) []r2.Vec {
	ps := sortedByX(p)
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

// sortedByX sorts corners. Those of an outline rise from its leftmost corner to its
// rightmost one on either way around, but for a few: each way is sorted by itself,
// which takes no time where it is so, and the two are merged.
func sortedByX(p []r2.Vec) []r2.Vec {
	if len(p) == 0 {
		return nil
	}
	left, right := 0, 0
	for i, v := range p {
		if byX(v, p[left]) < 0 {
			left = i
		}
		if byX(v, p[right]) > 0 {
			right = i
		}
	}
	there, back := make([]r2.Vec, 0, len(p)), make([]r2.Vec, 0, len(p))
	for i := left; i != right; i = (i + 1) % len(p) {
		there = append(there, p[i])
	}
	for i := (left + len(p) - 1) % len(p); len(there)+len(back) < len(p); i = (i + len(p) - 1) % len(p) {
		back = append(back, p[i])
	}
	slices.SortFunc(there, byX)
	slices.SortFunc(back, byX)
	out := make([]r2.Vec, 0, len(p))
	for len(there) > 0 && len(back) > 0 {
		if byX(there[0], back[0]) <= 0 {
			out, there = append(out, there[0]), there[1:]
		} else {
			out, back = append(out, back[0]), back[1:]
		}
	}
	return append(append(out, there...), back...)
}

// HullOfSimple is Hull of a closed line that does not cross itself, in its order and
// without sorting (Melkman 1987).
func HullOfSimple(p []r2.Vec) []r2.Vec {
	if len(p) < 4 {
		return Hull(p)
	}
	right := func(a, b, q r2.Vec) bool { return r2.Cross(r2.Sub(b, a), r2.Sub(q, b)) <= 0 }
	var buf [2 * 720]r2.Vec
	d := buf[:] // closed: its first corner is also its last
	if len(d) < 2*len(p) {
		d = make([]r2.Vec, 2*len(p))
	}
	from, to := len(p)-3, len(p)
	d[from], d[from+1], d[from+2], d[to] = p[2], p[0], p[1], p[2]
	if right(p[0], p[1], p[2]) {
		d[from+1], d[from+2] = p[1], p[0]
	}
	for _, q := range p[3:] {
		if !right(d[from], d[from+1], q) && !right(d[to-1], d[to], q) {
			continue
		}
		for from+1 < to && right(d[from], d[from+1], q) {
			from++
		}
		for from+1 < to && right(d[to-1], d[to], q) {
			to--
		}
		from, to = from-1, to+1
		d[from], d[to] = q, q
	}
	return slices.Clone(d[from:to])
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
