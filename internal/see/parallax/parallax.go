// Package parallax turns the outline of a solid as a camera off to the side
// sees it into its outline as seen from straight above. It speaks mm in the mat
// frame (x right, y down), heights upward from the mat, and is pure geometry.
package parallax

import (
	"fmt"
	"math"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"
)

// Eye is the camera's foot point on the mat and its height above it, mm.
type Eye struct {
	Foot   r2.Vec
	Height float64
}

// Slice is what is known of the solid's side: the height of the edge that
// carries the outline, and the run of the wall: the vector by which the lower
// edge lies off the upper one, zero for a knife held upright.
type Slice struct {
	Edge float64
	Run  r2.Vec
}

// Outlines are those of a slice seen from straight above: Face is the upper
// cut face, Whole adds the strip of leaning wall.
type Outlines struct{ Face, Whole []r2.Vec }

// Above recovers the outlines from the one seen on the mat plane.
//
// The solid is the face swept down to its lower edge. Seen from the eye, the
// face lands on the mat plane moved away from the foot by the factor
// H/(H - e), the lower edge stays at its run, and the outline seen is the face
// swept from one to the other. Taking the seen outline back by each of the two
// and keeping what both share gives the face again: exactly for a convex
// slice, since a point in both lies between two points of the face.
func Above(seen []r2.Vec, eye Eye, s Slice) (Outlines, error) {
	if !(eye.Height > 2*s.Edge) || s.Edge < 0 {
		return Outlines{}, fmt.Errorf("camera height %.0f mm is too low for an edge %.1f mm high", eye.Height, s.Edge)
	}
	shrink := (eye.Height - s.Edge) / eye.Height
	upper, lower := make([]r2.Vec, len(seen)), make([]r2.Vec, len(seen))
	for i, p := range seen {
		upper[i] = r2.Add(eye.Foot, r2.Scale(shrink, r2.Sub(p, eye.Foot)))
		lower[i] = r2.Sub(p, s.Run)
	}
	face, err := overlay(upper, lower, geom.Intersection)
	if err != nil {
		return Outlines{}, err
	}
	whole := face
	if r2.Norm(s.Run) > 1e-9 {
		if whole, err = swept(face, s.Run); err != nil {
			return Outlines{}, err
		}
	}
	return Outlines{face, whole}, nil
}

// swept is the union of the outline along the run, in steps short against the
// outline's own roughness.
func swept(face []r2.Vec, run r2.Vec) ([]r2.Vec, error) {
	moved := make([]r2.Vec, len(face))
	out := face
	steps := int(math.Ceil(r2.Norm(run) / 1.5))
	for k := 1; k <= steps; k++ {
		for i, p := range face {
			moved[i] = r2.Add(p, r2.Scale(float64(k)/float64(steps), run))
		}
		var err error
		if out, err = overlay(out, moved, geom.Union); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// overlay clips two outlines against each other and returns the largest ring.
func overlay(a, b []r2.Vec, op func(a, b geom.Geometry) (geom.Geometry, error)) ([]r2.Vec, error) {
	g, err := op(polygon(a).AsGeometry(), polygon(b).AsGeometry())
	if err != nil {
		return nil, fmt.Errorf("outlines cannot be combined: %w", err)
	}
	best := largest(g)
	if best.IsEmpty() {
		return nil, fmt.Errorf("nothing is left of the outline")
	}
	seq := best.ExteriorRing().Coordinates()
	out := make([]r2.Vec, 0, seq.Length()-1)
	for i := range seq.Length() - 1 {
		xy := seq.GetXY(i)
		out = append(out, r2.Vec{X: xy.X, Y: xy.Y})
	}
	return out, nil
}

func polygon(p []r2.Vec) geom.Polygon {
	xy := make([]float64, 0, 2*len(p)+2)
	for _, v := range p {
		xy = append(xy, v.X, v.Y)
	}
	xy = append(xy, p[0].X, p[0].Y)
	return geom.NewPolygon([]geom.LineString{geom.NewLineString(geom.NewSequence(xy, geom.DimXY))})
}

func largest(g geom.Geometry) geom.Polygon {
	var best geom.Polygon
	for _, part := range g.Dump() {
		if part.IsPolygon() {
			if p := part.MustAsPolygon(); p.Area() > best.Area() {
				best = p
			}
		}
	}
	return best
}
