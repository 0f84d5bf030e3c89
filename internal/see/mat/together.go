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
	freedoms     = parameters + 2 // the principal point is free as well
)

// Together fits two photos of one mat by one phone once more, as one lens seen
// twice. One photo alone cannot tell a principal point off the picture's middle
// from a tilt, and gets focal length and height wrong together by about a per
// cent; two photos from different sides can. Photos of different phones or
// settings come back as they were.
func Together(a, b Found) (Found, Found) {
	if a.prior != b.prior || a.Layout.Name != b.Layout.Name {
		return a, b
	}
	p := pairFit{of: [2][]match{matches(a.flat), matches(b.flat)}, pr: a.prior}
	cams, ok := p.fit([2]Camera{a.Camera, b.Camera})
	if !ok {
		return a, b
	}
	a.Camera, b.Camera = cams[0], cams[1]
	a.Residual, b.Residual = a.residual(a.flat), b.residual(b.flat)
	return a, b
}

// pairFit is the least-squares problem of two cameras of one lens.
type pairFit struct {
	of [2][]match
	pr prior
}

// fit moves both cameras at once.
func (p pairFit) fit(cams [2]Camera) ([2]Camera, bool) {
	cams, ok := levenberg(cams, append(stepSizes[:], stepSizes[:]...), p.moved, p.residuals)
	return cams, ok && cams[0].Eye().Z < 0 && cams[1].Eye().Z < 0
}

// residuals are those of the corners, then the pulls of the priors.
func (p pairFit) residuals(cams [2]Camera) []float64 {
	out := append(cornerResiduals(cams[0], p.of[0]), cornerResiduals(cams[1], p.of[1])...)
	a, b := p.lens(cams[0]), p.lens(cams[1])
	diagonal := math.Hypot(float64(p.pr.width), float64(p.pr.height))
	spread := [5]float64{p.pr.fSpread, k1Spread, k2Spread, centreSpread * diagonal, centreSpread * diagonal}
	same := [5]float64{sameF, sameK, sameK, sameCentre * diagonal, sameCentre * diagonal}
	for k := range a {
		// Two pulls of √2 the spread make one lens's prior.
		s := math.Sqrt2 * spread[k]
		out = append(out, a[k]/s, b[k]/s, (a[k]-b[k])/same[k])
	}
	return out
}

// lens is what is the camera's own, off its prior: log focal length,
// distortion, principal point.
func (p pairFit) lens(c Camera) [5]float64 {
	return [5]float64{math.Log(c.F / p.pr.f), c.K1, c.K2,
		c.Centre.X - float64(p.pr.width-1)/2, c.Centre.Y - float64(p.pr.height-1)/2}
}

// moved returns both cameras after a step.
func (p pairFit) moved(cams [2]Camera, d []float64) [2]Camera {
	for i := range cams {
		s := d[i*freedoms : (i+1)*freedoms]
		cams[i] = moved(cams[i], s)
		cams[i].Centre = r2.Add(cams[i].Centre, r2.Vec{X: s[parameters], Y: s[parameters+1]})
	}
	return cams
}
