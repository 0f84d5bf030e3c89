package segment

import (
	"math"

	"netagauge/internal/core/solid"

	"gonum.org/v1/gonum/spatial/r2"
)

// side is a stretch of an outline, or several, that face one way.
type side struct {
	normal r2.Vec // outward
	points []r2.Vec
	places []int   // of the points, along the outline
	length float64 // mm
}

// How an outline is parted into sides.
const (
	leastSide = 14.0 // mm
	mostSides = 6
	facings   = 72 // directions tried
)

// sameWay is the cosine of how far off a place of a side may face.
var sameWay = math.Cos(15 * math.Pi / 180)

// sidesOf finds the directions that most of an outline faces, the longest side
// first.
func sidesOf(outline []r2.Vec) (out []side) {
	normals, lengths := facing(outline)
	used := make([]bool, len(outline))
	for len(out) < mostSides {
		var toward r2.Vec
		longest := 0.0
		for k := range facings {
			y, x := math.Sincos(2 * math.Pi * float64(k) / facings)
			n := r2.Vec{X: x, Y: y}
			if l := lengthFacing(n, normals, lengths, used); l > longest {
				toward, longest = n, l
			}
		}
		if longest < leastSide {
			break
		}
		first := sideFacing(toward, outline, normals, lengths, used)
		best := sideFacing(first.normal, outline, normals, lengths, used)
		for i, n := range normals {
			used[i] = used[i] || r2.Dot(n, best.normal) > sameWay
		}
		out = append(out, best)
	}
	return out
}

// lengthFacing is how much of an outline faces about one way, mm.
func lengthFacing(n r2.Vec, normals []r2.Vec, lengths []float64, used []bool) (length float64) {
	for i, m := range normals {
		if !used[i] && !(r2.Dot(m, n) < sameWay) {
			length += lengths[i]
		}
	}
	return length
}

// sideFacing gathers what faces about one way; its normal is the mean of theirs.
func sideFacing(n r2.Vec, outline, normals []r2.Vec, lengths []float64, used []bool) (s side) {
	for i, p := range outline {
		if used[i] || r2.Dot(normals[i], n) < sameWay {
			continue
		}
		s.points, s.places = append(s.points, p), append(s.places, i)
		s.length += lengths[i]
		s.normal = r2.Add(s.normal, r2.Scale(lengths[i], normals[i]))
	}
	if s.length > 0 {
		s.normal = r2.Unit(s.normal)
	}
	return s
}

// facing is the outward normal at each point of an outline and how much of the
// outline is its own, mm.
func facing(o []r2.Vec) (normals []r2.Vec, lengths []float64) {
	turn := math.Copysign(1, solid.SignedArea(o))
	n := len(o)
	for i := range o {
		d := r2.Sub(o[(i+2)%n], o[(i+n-2)%n])
		lengths = append(lengths, r2.Norm(d)/4)
		if r2.Norm(d) > 0 {
			d = r2.Scale(turn/r2.Norm(d), d)
		}
		normals = append(normals, r2.Vec{X: d.Y, Y: -d.X})
	}
	return normals, lengths
}
