// Package disc measures round flat things, coins, that lie on a mat, from a
// photo. Lengths are in mm at a print scale of 1: as if the mat were printed true.
// It does not know which coin it sees, and it judges no print.
package disc

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/uncertainty"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/parallax"
	"netagauge/internal/see/photo"
	"netagauge/internal/see/segment"
)

// Disc is a round thing on the field: where its upper rim was seen on the mat
// plane and how wide, mm. Residual is how far the rim strays from a circle, root
// mean square.
type Disc struct {
	Centre             r2.Vec
	Diameter, Residual float64
}

// Seen is what a photo shows: its discs, the eye they were seen from, and the
// print's scale by the edge of the paper where that is seen.
type Seen struct {
	Discs []Disc
	Eye   parallax.Eye
	Paper float64 // 0 when not seen
}

// Find measures the discs in a photo. It does not ask whether the photo can be
// trusted: a check of the same photo does.
func Find(data []byte) (Seen, error) {
	pic, err := photo.Decode(data)
	if err != nil {
		return Seen{}, fmt.Errorf("read the photo: %w", err)
	}
	found, err := mat.Find(pic.Luma(), pic.F35)
	if err != nil {
		return Seen{}, fmt.Errorf("find the mat: %w", err)
	}
	on, _, err := segment.Find(pic.YCbCr, found)
	if err != nil {
		return Seen{}, err
	}
	e := found.Camera.Eye()
	seen := Seen{Eye: parallax.Eye{Foot: r2.Vec{X: e.X, Y: e.Y}, Height: -e.Z}}
	if s, ok := found.PaperScale(pic.Luma()); ok {
		seen.Paper = s
	}
	for _, p := range on.Pieces {
		if p.CutOff {
			continue
		}
		if d, ok := discOf(p.Outline, seen.Eye); ok {
			seen.Discs = append(seen.Discs, d)
		}
	}
	return seen, nil
}

// edgeU is how well both edges of a metal disc together are seen, k = 1, mm. On
// eight rendered discs the diameter erred by 0.04 (root mean square); a worn or
// dirty rim is worse. Our setting.
const edgeU = 0.06

// Size is the diameter of a disc whose upper rim lies at a height, mm: seen from
// the eye, the rim is larger by H / (H - h), and round all the same.
func (s Seen) Size(d Disc, rim uncertainty.Value) uncertainty.Value {
	return uncertainty.Propagate(func(x []float64) float64 { return x[0] * (s.Eye.Height - x[1]) / s.Eye.Height },
		uncertainty.Input{Value: uncertainty.Value{X: d.Diameter, U: math.Hypot(edgeU, d.Residual)}},
		uncertainty.Input{Value: rim}).Value
}

// round is how far the rim of a disc may stray from a circle, as a share of its
// radius; a square's sides stray by 0.1. Our setting.
const round = 0.02

// discOf fits the half of an outline that lies away from the eye's foot. There the
// upper rim is the edge that is seen. On the half that faces the foot it may be
// the lower rim, or, where the wall mirrors the mat, the upper one: no telling.
func discOf(outline []r2.Vec, eye parallax.Eye) (Disc, bool) {
	c := guess(outline)
	for range 3 {
		away := r2.Sub(c.centre, eye.Foot)
		var far []r2.Vec
		for _, p := range outline {
			if r2.Dot(r2.Sub(p, c.centre), away) >= 0 {
				far = append(far, p)
			}
		}
		var ok bool
		if c, ok = fitCircle(far, c); !ok {
			return Disc{}, false
		}
	}
	return Disc{c.centre, 2 * c.radius, c.residual}, c.residual < round*c.radius && whole(outline, c, eye)
}

// whole reports whether the other half of the outline is that of a disc as well:
// on the circle, or at most as far off as the lower rim of a coin can lie.
func whole(outline []r2.Vec, c circle, eye parallax.Eye) bool {
	const thickest = 3.0 // mm
	slack := 2*round*c.radius + thickest*r2.Norm(r2.Sub(c.centre, eye.Foot))/eye.Height
	for _, p := range outline {
		if math.Abs(r2.Norm(r2.Sub(p, c.centre))-c.radius) > slack {
			return false
		}
	}
	return len(outline) > 0
}

// guess is the circle of the points' mean distance about their mean.
func guess(points []r2.Vec) circle {
	var c circle
	for _, p := range points {
		c.centre = r2.Add(c.centre, r2.Scale(1/float64(len(points)), p))
	}
	for _, p := range points {
		c.radius += r2.Norm(r2.Sub(p, c.centre)) / float64(len(points))
	}
	return c
}
