package solid

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Plane is a cut: the points p with N·p = D. N has the length 1 and points to
// what lies beyond the cut.
type Plane struct {
	N r3.Vec
	D float64
}

// Beyond is how far a point lies beyond the plane, mm.
func (c Plane) Beyond(p r3.Vec) float64 { return r3.Dot(c.N, p) - c.D }

// Cell is a convex body with flat faces.
type Cell struct {
	corners []r3.Vec
	faces   [][]int // corners of each, counter-clockwise from outside
	edges   [][2]int
	whole   Mass
}

// Body is cells that touch without overlapping.
type Body []Cell

// Mass is a volume, mm³, and its first moment, mm⁴: Moment / Volume is its
// middle.
type Mass struct {
	Volume float64
	Moment r3.Vec
}

func (m Mass) plus(by float64, n Mass) Mass {
	return Mass{m.Volume + by*n.Volume, r3.Add(m.Moment, r3.Scale(by, n.Moment))}
}

// Plus is both together.
func (m Mass) Plus(n Mass) Mass { return m.plus(1, n) }

// Minus is what is left of m without n.
func (m Mass) Minus(n Mass) Mass { return m.plus(-1, n) }

// Column stands on the board over a convex quadrangle, counter-clockwise from
// above, each of whose corners is so high, mm. Four heights that lie in no
// plane make a top that folds outward, so that every column is the convex hull
// of its corners.
func Column(base [4]r2.Vec, high [4]float64) Cell {
	c := Cell{corners: make([]r3.Vec, 8), faces: [][]int{{3, 2, 1, 0}}}
	for k, p := range base {
		n := (k + 1) % 4
		c.corners[k], c.corners[4+k] = r3.Vec{X: p.X, Y: p.Y}, r3.Vec{X: p.X, Y: p.Y, Z: high[k]}
		c.faces = append(c.faces, []int{k, n, 4 + n, 4 + k})
	}
	t := c.corners[4:]
	switch over := r3.Dot(r3.Cross(r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0])), r3.Sub(t[3], t[0])); {
	case math.Abs(over) < 1e-6:
		c.faces = append(c.faces, []int{4, 5, 6, 7})
	case over < 0: // the fourth corner lies below the plane of the others
		c.faces = append(c.faces, []int{4, 5, 6}, []int{4, 6, 7})
	default:
		c.faces = append(c.faces, []int{5, 6, 7}, []int{5, 7, 4})
	}
	return c.finished()
}

// finished finds the edges and the whole mass.
func (c Cell) finished() Cell {
	seen := map[[2]int]bool{}
	for _, f := range c.faces {
		for i, a := range f {
			b := f[(i+1)%len(f)]
			if e := [2]int{min(a, b), max(a, b)}; !seen[e] {
				seen[e] = true
				c.edges = append(c.edges, e)
			}
		}
	}
	for _, f := range c.faces {
		var ps [maxCorners]r3.Vec
		for i, k := range f {
			ps[i] = c.corners[k]
		}
		c.whole = c.whole.plus(1, fan(c.corners[0], ps[:len(f)]))
	}
	return c
}

// maxCorners of a face once it is clipped.
const maxCorners = 6

// fan is the mass of the pyramid from a point over a face, negative where the
// point lies outside it.
func fan(apex r3.Vec, face []r3.Vec) (m Mass) {
	for i := 1; i+1 < len(face); i++ {
		a, b, c := face[0], face[i], face[i+1]
		v := r3.Dot(r3.Sub(a, apex), r3.Cross(r3.Sub(b, apex), r3.Sub(c, apex))) / 6
		m = m.plus(1, Mass{v, r3.Scale(v/4, r3.Add(r3.Add(apex, a), r3.Add(b, c)))})
	}
	return m
}

// Whole is the body's mass.
func (b Body) Whole() (m Mass) {
	for _, c := range b {
		m = m.plus(1, c.whole)
	}
	return m
}

// Before is the mass on the near side of a plane: pyramids over what is left of
// each face, from a point on the plane, so that the cut itself adds nothing
// (divergence theorem).
func (b Body) Before(p Plane) (m Mass) {
	for _, c := range b {
		m = m.plus(1, c.before(p))
	}
	return m
}

func (c Cell) before(p Plane) (m Mass) {
	var buf [8]float64
	level := buf[:0]
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range c.corners {
		l := p.Beyond(v)
		level = append(level, l)
		lo, hi = min(lo, l), max(hi, l)
	}
	switch {
	case hi <= 0:
		return c.whole
	case lo >= 0:
		return m
	}
	apex := r3.Scale(p.D, p.N)
	for _, f := range c.faces {
		var kept [maxCorners]r3.Vec
		m = m.plus(1, fan(apex, kept[:c.clip(f, level, &kept)]))
	}
	return m
}

// clip is a face's part where the level is not above 0 (Sutherland and Hodgman
// 1974); it returns the number of its corners.
func (c Cell) clip(f []int, level []float64, out *[maxCorners]r3.Vec) (n int) {
	for i, a := range f {
		b := f[(i+1)%len(f)]
		if level[a] <= 0 {
			out[n] = c.corners[a]
			n++
		}
		if level[a] < 0 && level[b] > 0 || level[a] > 0 && level[b] < 0 {
			out[n] = between(c.corners[a], c.corners[b], level[a], level[b])
			n++
		}
	}
	return n
}

// between is where a level that runs straight from l to m is 0.
func between(a, b r3.Vec, l, m float64) r3.Vec {
	return r3.Add(a, r3.Scale(l/(l-m), r3.Sub(b, a)))
}

// Slab is what lies between two cuts, seen along the second one's normal on a
// board with the axes u and v: the convex outline of each cell's part. From a
// plane to itself it is the bare face.
func (b Body) Slab(from, to Plane, u, v r3.Vec) [][]r2.Vec {
	out := make([][]r2.Vec, 0, len(b))
	for _, c := range b {
		var buf [40]r2.Vec
		ps := buf[:0]
		for _, e := range c.edges {
			p, q := c.corners[e[0]], c.corners[e[1]]
			if lo, hi := within(p, q, from, to); lo <= hi {
				for _, share := range [2]float64{lo, hi} {
					at := r3.Add(p, r3.Scale(share, r3.Sub(q, p)))
					ps = append(ps, r2.Vec{X: r3.Dot(at, u), Y: r3.Dot(at, v)})
				}
			}
		}
		if part := Hull(ps); len(part) > 2 {
			out = append(out, part)
		}
	}
	return out
}

// within are the shares of an edge between which it lies beyond one plane and
// before the other; lo > hi where it does not.
func within(p, q r3.Vec, from, to Plane) (lo, hi float64) {
	lo, hi = 0, 1
	keep := func(a, b float64) { // where a level that runs straight from a to b is not below 0
		switch {
		case a < 0 && b < 0:
			lo = 2
		case a < 0:
			lo = max(lo, a/(a-b))
		case b < 0:
			hi = min(hi, a/(a-b))
		}
	}
	keep(from.Beyond(p), from.Beyond(q))
	keep(-to.Beyond(p), -to.Beyond(q))
	return lo, hi
}

// Reach is how far a body reaches along a direction.
func (b Body) Reach(n r3.Vec) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, c := range b {
		for _, p := range c.corners {
			d := r3.Dot(n, p)
			lo, hi = min(lo, d), max(hi, d)
		}
	}
	return lo, hi
}

// Outline of a slab's parts: their hull where they fill it but for tol, mm, and
// their union where they do not.
func Outline(parts [][]r2.Vec, tol float64) []r2.Vec {
	if len(parts) == 1 {
		return parts[0]
	}
	hull := Hull(slices.Concat(parts...))
	for i, a := range hull {
		b := hull[(i+1)%len(hull)]
		if !filled(parts, a, b, tol) {
			return Union(parts)
		}
	}
	return hull
}

// filled reports whether one of the parts comes within tol of the middle of a
// hull's edge.
func filled(parts [][]r2.Vec, a, b r2.Vec, tol float64) bool {
	along := r2.Unit(r2.Sub(b, a))
	half := r2.Norm(r2.Sub(b, a)) / 2
	for _, part := range parts {
		for i, p := range part {
			p, q := r2.Sub(p, a), r2.Sub(part[(i+1)%len(part)], a)
			x, y, dx := r2.Dot(p, along), r2.Cross(along, p), r2.Dot(r2.Sub(q, p), along)
			if dx == 0 || (half-x)/dx < 0 || (half-x)/dx > 1 {
				continue
			}
			if at := y + (half-x)/dx*(r2.Cross(along, q)-y); at < tol {
				return true
			}
		}
	}
	return false
}
