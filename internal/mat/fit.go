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

// fitCamera finds pose, focal length and distortion together by
// Levenberg-Marquardt on the reprojection error in pixels, with Huber weights
// (Huber 1964), the focal length and distortion held by their priors.
func fitCamera(ms []match, pr prior) (Camera, error) {
	cam, err := startCamera(ms, pr)
	if err != nil {
		return cam, err
	}
	lambda, cost := 1e-3, robustCost(&cam, ms, pr)
	for range 50 {
		A, g := normalEquations(&cam, ms, pr)
		step, err := solveDamped(A, g, lambda)
		if err != nil {
			return cam, errNoPose
		}
		next := moved(cam, step)
		c := robustCost(&next, ms, pr)
		if !(c < cost) {
			if lambda *= 10; lambda > 1e8 {
				break
			}
			continue
		}
		done := cost-c < 1e-9*cost
		cam, cost, lambda = next, c, lambda/5
		if done {
			break
		}
	}
	if eye := cam.Eye(); !(eye.Z < 0) || math.IsNaN(cost) {
		return cam, errNoPose
	}
	return cam, nil
}

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
func moved(c Camera, d [parameters]float64) Camera {
	c.R = turned(c.R, r3.Vec{X: d[0], Y: d[1], Z: d[2]})
	c.T = r3.Add(c.T, r3.Vec{X: d[3], Y: d[4], Z: d[5]})
	c.F *= math.Exp(d[6])
	c.K1 += d[7]
	c.K2 += d[8]
	return c
}

// priorResiduals are the pulls of the priors, in units of their spread.
func priorResiduals(c *Camera, pr prior) [3]float64 {
	return [3]float64{math.Log(c.F/pr.f) / pr.fSpread, c.K1 / k1Spread, c.K2 / k2Spread}
}

func robustCost(c *Camera, ms []match, pr prior) float64 {
	var sum float64
	for _, m := range ms {
		e := r2.Norm(r2.Sub(c.Project(m.mm, 0), m.px))
		if e <= huberPx {
			sum += e * e
		} else {
			sum += huberPx * (2*e - huberPx)
		}
	}
	sum /= cornerPx * cornerPx
	for _, r := range priorResiduals(c, pr) {
		sum += r * r
	}
	return sum
}

// normalEquations builds JᵀWJ and -JᵀWr with forward differences.
func normalEquations(c *Camera, ms []match, pr prior) (*linalg.SymDense, *linalg.VecDense) {
	steps := [parameters]float64{1e-6, 1e-6, 1e-6, 1e-3, 1e-3, 1e-3, 1e-6, 1e-6, 1e-6}
	var near [parameters]Camera
	for k := range near {
		var d [parameters]float64
		d[k] = steps[k]
		near[k] = moved(*c, d)
	}
	A := linalg.NewSymDense(parameters, nil)
	g := linalg.NewVecDense(parameters, nil)
	add := func(j [parameters]float64, r, w float64) {
		for a := range parameters {
			g.SetVec(a, g.AtVec(a)-w*j[a]*r)
			for b := a; b < parameters; b++ {
				A.SetSym(a, b, A.At(a, b)+w*j[a]*j[b])
			}
		}
	}
	for _, m := range ms {
		at := c.Project(m.mm, 0)
		r := r2.Sub(at, m.px)
		w := 1 / (cornerPx * cornerPx)
		if e := r2.Norm(r); e > huberPx {
			w *= huberPx / e
		}
		var jx, jy [parameters]float64
		for k := range near {
			d := r2.Sub(near[k].Project(m.mm, 0), at)
			jx[k], jy[k] = d.X/steps[k], d.Y/steps[k]
		}
		add(jx, r.X, w)
		add(jy, r.Y, w)
	}
	r := priorResiduals(c, pr)
	for k, spread := range [3]float64{pr.fSpread, k1Spread, k2Spread} {
		var j [parameters]float64
		j[6+k] = 1 / spread
		add(j, r[k], 1)
	}
	return A, g
}

func solveDamped(A *linalg.SymDense, g *linalg.VecDense, lambda float64) ([parameters]float64, error) {
	var out [parameters]float64
	D := linalg.NewSymDense(parameters, nil)
	D.CopySym(A)
	for k := range parameters {
		D.SetSym(k, k, A.At(k, k)*(1+lambda)+1e-12)
	}
	var chol linalg.Cholesky
	if !chol.Factorize(D) {
		return out, errNoPose
	}
	var x linalg.VecDense
	if err := chol.SolveVecTo(&x, g); err != nil {
		return out, err
	}
	for k := range out {
		out[k] = x.AtVec(k)
	}
	return out, nil
}
