package serve

import (
	"math"

	"netagauge/internal/core/solid"

	"gonum.org/v1/gonum/spatial/r2"
)

// numberHigh is how high a number in the picture is, CSS px, with the room about it;
// numberWide is how wide one of one digit and one of two is.
const numberHigh = 24

var numberWide = map[bool]float64{false: 20, true: 34}

// label is the room of a number.
type label struct{ at, half r2.Vec }

func labelOf(x shapeData, at r2.Vec) label {
	return label{at, r2.Vec{X: numberWide[x.Wide()] / 2, Y: numberHigh / 2}}
}

// rim are places on the edge of a label, and its middle.
func (l label) rim() (out []r2.Vec) {
	for _, x := range []float64{-1, 0, 1} {
		for _, y := range []float64{-1, 0, 1} {
			out = append(out, r2.Vec{X: l.at.X + x*l.half.X, Y: l.at.Y + y*l.half.Y})
		}
	}
	return out
}

func (l label) meets(m label) bool {
	return math.Abs(l.at.X-m.at.X) < l.half.X+m.half.X && math.Abs(l.at.Y-m.at.Y) < l.half.Y+m.half.Y
}

// on reports whether a label lies on a shape in part, and whether it lies in it whole.
func (l label) on(shape []r2.Vec) (part, whole bool) {
	whole = true
	for _, p := range l.rim() {
		in := solid.Inside(shape, p)
		part, whole = part || in, whole && in
	}
	for _, p := range shape {
		part = part || math.Abs(p.X-l.at.X) < l.half.X && math.Abs(p.Y-l.at.Y) < l.half.Y
	}
	return part, whole
}

// putNumbers lays the numbers of shapes whose slices are too small for them beside them,
// each at the nearest free place, with a line that leads to its slice. One that finds no
// place stays where it is.
func putNumbers(all []shapeData, outlines [][]r2.Vec, high float64) {
	var taken []label
	var small []int
	for i := range all {
		l := labelOf(all[i], r2.Vec{X: all[i].X, Y: all[i].Y})
		if _, whole := l.on(outlines[i]); whole {
			taken = append(taken, l)
		} else {
			small = append(small, i)
		}
	}
	for _, i := range small {
		x := &all[i]
		from := r2.Vec{X: x.X, Y: x.Y}
		l, found := freePlace(*x, from, outlines, taken, high)
		if found {
			x.X, x.Y, x.Lead = l.at.X, l.at.Y, &from
		}
		taken = append(taken, l)
	}
}

// farthest is how far from its slice a number may lie, CSS px.
const farthest = 90

// freePlace is the place nearest to a slice's middle where its number lies on no slice and
// on no other number.
func freePlace(x shapeData, from r2.Vec, outlines [][]r2.Vec, taken []label, high float64) (label, bool) {
	for away := 16.0; away <= farthest; away += 6 {
		for turn := range 16 {
			sin, cos := math.Sincos(float64(turn) * math.Pi / 8)
			l := labelOf(x, r2.Vec{X: from.X + away*cos, Y: from.Y + away*sin})
			if l.at.X-l.half.X < 0 || l.at.Y-l.half.Y < 0 || l.at.X+l.half.X > screenWidth || l.at.Y+l.half.Y > high {
				continue
			}
			free := true
			for _, o := range outlines {
				part, _ := l.on(o)
				free = free && !part
			}
			for _, m := range taken {
				free = free && !l.meets(m)
			}
			if free {
				return l, true
			}
		}
	}
	return labelOf(x, from), false
}
