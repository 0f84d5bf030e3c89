package mat

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// How alike one phone's lens is in two photos taken a moment apart: focus and
// the stabiliser move it a little. Our setting, no source. The principal point's
// spreads are shares of the picture's diagonal.
const (
	sameF, sameK = 0.002, 0.002
	sameCentre   = 0.001
	centreSpread = 0.004
)

// Together fits two photos of one mat by one phone once more, as one lens seen
// twice. One photo alone cannot tell a principal point off the picture's middle
// from a tilt, and gets focal length and height wrong together by about a per
// cent; two photos from different sides can. Photos of different phones or
// settings, and cropped ones, come back as they were, and it reports false.
func Together(a, b Found) (Found, Found, bool) {
	if a.prior != b.prior || a.Layout.Name != b.Layout.Name || a.Cropped() || b.Cropped() {
		return a, b, false
	}
	p := pairFit{of: [2][]match{matches(a.flat), matches(b.flat)}, pr: a.prior}
	if a.lens.third || b.lens.third {
		p.third = 1
	}
	cams, ok := p.fit([2]Camera{a.Camera, b.Camera})
	if !ok {
		return a, b, false
	}
	a.Camera, b.Camera = cams[0], cams[1]
	a.Residual, b.Residual = a.residual(a.flat), b.residual(b.flat)
	return a, b, true
}

// pairFit is the least-squares problem of two cameras of one lens.
type pairFit struct {
	of    [2][]match
	pr    prior
	third int // 1 where k3 is free
}

// each is how many freedoms either camera has: the principal point is free as
// well.
func (p pairFit) each() int { return thirdK + p.third }

// fit moves both cameras at once.
func (p pairFit) fit(cams [2]Camera) ([2]Camera, bool) {
	cams, ok := levenberg(cams, append(stepSizes[:p.each():p.each()], stepSizes[:p.each()]...), p.moved, p.residuals)
	return cams, ok && cams[0].Eye().Z < 0 && cams[1].Eye().Z < 0
}

// residuals are those of the corners, then the pulls of the priors.
func (p pairFit) residuals(cams [2]Camera) []float64 {
	out := append(cornerResiduals(cams[0], p.of[0]), cornerResiduals(cams[1], p.of[1])...)
	a, b := p.lens(cams[0]), p.lens(cams[1])
	diagonal := p.pr.diagonal()
	spread := [6]float64{p.pr.fSpread, k1Spread, k2Spread, centreSpread * diagonal, centreSpread * diagonal, k3Spread}
	same := [6]float64{sameF, sameK, sameK, sameCentre * diagonal, sameCentre * diagonal, sameK}
	for k := range len(a) - 1 + p.third {
		// Two pulls of √2 the spread make one lens's prior.
		s := math.Sqrt2 * spread[k]
		out = append(out, a[k]/s, b[k]/s, (a[k]-b[k])/same[k])
	}
	return out
}

// lens is what is the camera's own, off its prior: log focal length,
// distortion, principal point.
func (p pairFit) lens(c Camera) [6]float64 {
	off := r2.Sub(c.Centre, p.pr.middle())
	return [6]float64{math.Log(c.F / p.pr.f), c.K1, c.K2, off.X, off.Y, c.K3}
}

// moved returns both cameras after a step.
func (p pairFit) moved(cams [2]Camera, d []float64) [2]Camera {
	for i := range cams {
		var s [freedoms]float64
		copy(s[:], d[i*p.each():(i+1)*p.each()])
		cams[i] = moved(cams[i], s[:])
	}
	return cams
}
