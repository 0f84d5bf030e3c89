package mat

import (
	"errors"
	"math"

	linalg "gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// match is a point of the mat (mm) seen at a pixel.
type match struct{ mm, px r2.Vec }

// prior holds what is known of the camera before a tag is seen.
type prior struct {
	width, height int
	f             float64 // focal length, px
	fSpread       float64 // its relative standard uncertainty
}

// Priors of a phone's lens and of a refined corner. Brown-Conrady k1 of phone
// main cameras after their own correction stays within about 0.05; the corner
// noise is what the line fit shows on rendered mats.
const (
	k1Spread   = 0.05
	k2Spread   = 0.05
	cornerPx   = 0.15
	huberPx    = 0.5
	parameters = 9
)

var errNoPose = errors.New("the tags do not fit a flat mat")

// fitCamera finds pose, focal length and distortion together on the reprojection
// error in pixels, the focal length and distortion held by their priors.
func fitCamera(ms []match, pr prior) (Camera, error) {
	cam, err := startCamera(ms, pr)
	if err != nil {
		return cam, err
	}
	cam, ok := levenberg(cam, stepSizes[:parameters], moved, func(c Camera) []float64 {
		return append(cornerResiduals(c, ms), priorResiduals(c, pr)...)
	})
	if eye := cam.Eye(); !ok || !(eye.Z < 0) {
		return cam, errNoPose
	}
	return cam, nil
}

// stepSizes are for the differences in (rotation, translation, log focal length,
// k1, k2), and in the principal point where it is free.
var stepSizes = [freedoms]float64{1e-6, 1e-6, 1e-6, 1e-3, 1e-3, 1e-3, 1e-6, 1e-6, 1e-6, 1e-3, 1e-3}

// startCamera decomposes the plane's homography with the prior focal length
// (Zhang 2000, section 3.1).
func startCamera(ms []match, pr prior) (Camera, error) {
	cam := Camera{F: pr.f, Centre: r2.Vec{X: float64(pr.width-1) / 2, Y: float64(pr.height-1) / 2}}
	A := linalg.NewDense(2*len(ms), 9, nil)
	for i, m := range ms {
		X, Y := m.mm.X/100, m.mm.Y/100 // about 1, for the conditioning
		u, v := (m.px.X-cam.Centre.X)/cam.F, (m.px.Y-cam.Centre.Y)/cam.F
		A.SetRow(2*i, []float64{X, Y, 1, 0, 0, 0, -u * X, -u * Y, -u})
		A.SetRow(2*i+1, []float64{0, 0, 0, X, Y, 1, -v * X, -v * Y, -v})
	}
	var svd linalg.SVD
	if !svd.Factorize(A, linalg.SVDThin) {
		return cam, errNoPose
	}
	var V linalg.Dense
	svd.VTo(&V)
	h := linalg.Col(nil, 8, &V)
	a := r3.Vec{X: h[0], Y: h[3], Z: h[6]}
	b := r3.Vec{X: h[1], Y: h[4], Z: h[7]}
	t := r3.Vec{X: h[2], Y: h[5], Z: h[8]}
	s := 2 / (r3.Norm(a) + r3.Norm(b))
	if t.Z < 0 {
		s = -s
	}
	if math.IsInf(s, 0) || math.IsNaN(s) {
		return cam, errNoPose
	}
	x := r3.Unit(r3.Add(r3.Unit(r3.Scale(s, a)), r3.Unit(r3.Scale(s, b))))
	z := r3.Unit(r3.Cross(r3.Scale(s, a), r3.Scale(s, b)))
	y := r3.Cross(z, x)
	// x is the bisector of the two axes: turn back by 45 degrees.
	q := math.Sqrt2 / 2
	ax := r3.Sub(r3.Scale(q, x), r3.Scale(q, y))
	ay := r3.Add(r3.Scale(q, x), r3.Scale(q, y))
	cam.R = transpose([3]r3.Vec{ax, ay, z})
	cam.T = r3.Scale(100*s, t)
	return cam, nil
}

// moved returns the camera after a step in (rotation, translation, log focal
// length, k1, k2).
func moved(c Camera, d []float64) Camera {
	c.R = turned(c.R, r3.Vec{X: d[0], Y: d[1], Z: d[2]})
	c.T = r3.Add(c.T, r3.Vec{X: d[3], Y: d[4], Z: d[5]})
	c.F *= math.Exp(d[6])
	c.K1 += d[7]
	c.K2 += d[8]
	return c
}

// cornerResiduals are the distances from seen to projected corners, in standard
// deviations and bounded in their pull as Huber's (1964).
func cornerResiduals(c Camera, ms []match) []float64 {
	out := make([]float64, 0, 2*len(ms)+3)
	for _, m := range ms {
		d := r2.Sub(c.Project(m.mm, 0), m.px)
		k := 1 / cornerPx
		if e := r2.Norm(d); e > huberPx {
			k *= math.Sqrt(huberPx*(2*e-huberPx)) / e
		}
		out = append(out, k*d.X, k*d.Y)
	}
	return out
}

// priorResiduals are the pulls of the priors, in units of their spread.
func priorResiduals(c Camera, pr prior) []float64 {
	return []float64{math.Log(c.F/pr.f) / pr.fSpread, c.K1 / k1Spread, c.K2 / k2Spread}
}
