package plan

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/see/shape"
)

// outline is what is seen from straight above of a slice that lies on its face,
// mm in the face's own axes: convex parts, one for each stretch of the block,
// that touch or overlap.
type outline []shape.Outline

// outline of the slice between two cuts, as it lies on the second one's face:
// the face, and the walls that lean out beside it. The slice between a cut and
// itself is the bare face. The cuts must not cross within the block.
func (b Block) outline(last, c plane) outline {
	var out outline
	start, end := b.reach(last, c)
	for i := start; i < end; i++ {
		p, q := b.stations[i-1], b.stations[i]
		var ps shape.Outline
		for _, e := range edges(p, q) {
			if from, to, ok := within(e, last, c); ok {
				ps = append(ps, c.flat(from), c.flat(to))
			}
		}
		if part := ps.Hull(); len(part) > 2 {
			out = append(out, part)
		}
	}
	return out
}

// face of a cut.
func (b Block) face(c plane) outline { return b.outline(c, c) }

// area of parts that do not overlap, mm².
func (o outline) area() float64 {
	var sum float64
	for _, part := range o {
		sum += part.Area()
	}
	return sum
}

// edges of the stretch between two stations.
func edges(p, q Station) [12][2]r3.Vec {
	var out [12][2]r3.Vec
	at := func(s Station, k int) r3.Vec {
		yz := s.corners()[k%4]
		return r3.Vec{X: s.X, Y: yz.X, Z: yz.Y}
	}
	for k := range 4 {
		out[k] = [2]r3.Vec{at(p, k), at(p, k+1)}
		out[4+k] = [2]r3.Vec{at(q, k), at(q, k+1)}
		out[8+k] = [2]r3.Vec{at(p, k), at(q, k)}
	}
	return out
}

// within is the part of an edge that lies beyond one cut and before the other.
func within(e [2]r3.Vec, last, c plane) (from, to r3.Vec, ok bool) {
	lo, hi := 0.0, 1.0
	keep := func(p, q float64) { // where a level that runs straight from p to q is not below 0
		switch {
		case p < 0 && q < 0:
			lo = 2
		case p < 0:
			lo = max(lo, p/(p-q))
		case q < 0:
			hi = min(hi, p/(p-q))
		}
	}
	keep(last.beyond(e[0]), last.beyond(e[1]))
	keep(-c.beyond(e[0]), -c.beyond(e[1]))
	along := r3.Sub(e[1], e[0])
	return r3.Add(e[0], r3.Scale(lo, along)), r3.Add(e[0], r3.Scale(hi, along)), lo <= hi
}

// beyond is how far a point lies beyond the plane, mm.
func (c plane) beyond(p r3.Vec) float64 { return c.level(p.X, r2.Vec{X: p.Y, Y: p.Z}) }
