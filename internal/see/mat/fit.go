package mat

import (
	"errors"
	"math"
	"sync"

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
	lens          lens
}

// Priors of a phone's lens and of a refined corner. Brown-Conrady k1 of phone
// main cameras after their own correction stays within about 0.05; the corner
// noise is what the line fit shows on rendered mats.
const (
	k1Spread    = 0.05
	k2Spread    = 0.05
	k3Spread    = 0.2 // of ultra-wide lenses, after their own correction; our setting
	widerSpread = 0.1 // of photos that somebody stretched one way; our setting
	croppedF    = 0.2 // what a crop of a fifth leaves of the focal length's prior
	cornerPx    = 0.15
	huberPx     = 0.5
	parameters  = 9
)

// centreSpreads are how far the principal point may lie off the middle, by the
// picture's diagonal. Our settings: the stabiliser of a phone moves it by so much,
// and a crop of a fifth by a tenth.
var centreSpreads = [...]float64{middle: 0, shifted: centreSpread, cropped: 0.12}

var errNoPose = errors.New("the tags do not fit a flat mat")

// lens says what of a camera is free in a fit beside pose, focal length, k1 and k2.
type lens struct {
	centre centre
	third  bool // k3: an ultra-wide lens
	wider  bool // the photo was stretched one way
}

// centre says where the principal point may lie.
type centre int

const (
	middle  centre = iota // in the picture's middle
	shifted               // as far off as lenses are built
	cropped               // anywhere: a part of the photo is cut away
)

// lenses are tried from the plainest on. strongEvidence is by how much a richer
// one must lower the Bayesian information criterion (Schwarz 1978) to be taken;
// more than 10 is very strong evidence (Kass and Raftery 1995, from memory).
var lenses = []lens{
	{}, {third: true}, {centre: shifted}, {centre: shifted, third: true}, {centre: cropped}, {centre: cropped, third: true}, {wider: true},
}

const strongEvidence = 10

// fitted is a camera, which lens it was taken for, and the standard uncertainty
// of its height, mm.
type fitted struct {
	cam     Camera
	lens    lens
	heightU float64
	bic     float64
}

// fitCamera finds pose, focal length and distortion together on the reprojection
// error in pixels, the focal length and distortion held by their priors. Which
// lens it is the corners decide. Where they leave it open between two and no focal
// length was recorded for the whole photo, the height is no surer than these differ.
func fitCamera(ms []match, pr prior) (fitted, error) {
	start, err := startCamera(ms, pr)
	if err != nil {
		return fitted{}, err
	}
	fits := make([]*fitted, len(lenses))
	var wg sync.WaitGroup
	for i, l := range lenses {
		wg.Go(func() {
			p := pr.with(l)
			if cam, err := fitLens(start, ms, p); err == nil {
				fits[i] = &fitted{cam, l, heightU(cam, ms, p), criterion(cam, ms, p)}
			}
		})
	}
	wg.Wait()
	var all []fitted
	best := -1
	for _, f := range fits {
		if f == nil {
			continue
		}
		if best < 0 || f.bic < all[best].bic-strongEvidence {
			best = len(all)
		}
		all = append(all, *f)
	}
	if best < 0 {
		return fitted{}, errNoPose
	}
	f := all[best]
	if pr.fSpread <= recordedF && f.lens.centre != cropped {
		return f, nil
	}
	for _, other := range all {
		if other.bic < f.bic+strongEvidence {
			f.heightU = math.Max(f.heightU, math.Hypot(other.heightU, other.cam.Eye().Z-all[best].cam.Eye().Z))
		}
	}
	return f, nil
}

// criterion is the Bayesian information criterion of a fit, its noise estimated from
// the fit itself. How far the fit strains what is known of the lens counts as well: the
// corners of a cropped photo fit a focal length a third off the recorded one nearly as
// well as a middle that is cut away.
func criterion(c Camera, ms []match, pr prior) float64 {
	n := float64(2 * len(ms))
	return n*math.Log(squares(cornerResiduals(c, ms))/n) + float64(len(pr.free()))*math.Log(n) + squares(priorResiduals(c, pr))
}

// fitLens fits one kind of lens from a start.
func fitLens(cam Camera, ms []match, pr prior) (Camera, error) {
	free := pr.free()
	sizes := make([]float64, len(free))
	for i, k := range free {
		sizes[i] = stepSizes[k]
	}
	all := func(d []float64) []float64 {
		out := make([]float64, freedoms)
		for i, k := range free {
			out[k] = d[i]
		}
		return out
	}
	cam, ok := levenberg(cam, sizes, func(c Camera, d []float64) Camera { return moved(c, all(d)) }, func(c Camera) []float64 {
		return append(cornerResiduals(c, ms), priorResiduals(c, pr)...)
	})
	if eye := cam.Eye(); !ok || !(eye.Z < 0) {
		return cam, errNoPose
	}
	return cam, nil
}

// with is what is known of a camera with such a lens. A cropped photo's focal
// length in pixels does not follow from its own size.
func (pr prior) with(l lens) prior {
	pr.lens = l
	if l.centre == cropped {
		pr.fSpread = math.Max(pr.fSpread, croppedF)
	}
	return pr
}

// free lists the freedoms of a fit.
func (pr prior) free() []int {
	out := []int{0, 1, 2, 3, 4, 5, 6, 7, 8}
	if pr.lens.centre != middle {
		out = append(out, centreX, centreY)
	}
	if pr.lens.third {
		out = append(out, thirdK)
	}
	if pr.lens.wider {
		out = append(out, stretch)
	}
	return out
}

// middle is the picture's own middle, px.
func (pr prior) middle() r2.Vec {
	return r2.Vec{X: float64(pr.width-1) / 2, Y: float64(pr.height-1) / 2}
}

// stepSizes are for the differences in (rotation, translation, log focal length,
// k1, k2), in the principal point, in k3 and in the stretch.
var stepSizes = [freedoms]float64{1e-6, 1e-6, 1e-6, 1e-3, 1e-3, 1e-3, 1e-6, 1e-6, 1e-6, 1e-3, 1e-3, 1e-6, 1e-6}

// The freedoms past the nine that every fit has.
const (
	centreX = parameters + iota
	centreY
	thirdK
	stretch
	freedoms
)

// startCamera decomposes the plane's homography with the prior focal length
// (Zhang 2000, section 3.1).
func startCamera(ms []match, pr prior) (Camera, error) {
	cam := Camera{F: pr.f, Centre: pr.middle()}
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

// moved returns the camera after a step in all freedoms.
func moved(c Camera, d []float64) Camera {
	c.R = turned(c.R, r3.Vec{X: d[0], Y: d[1], Z: d[2]})
	c.T = r3.Add(c.T, r3.Vec{X: d[3], Y: d[4], Z: d[5]})
	c.F *= math.Exp(d[6])
	c.K1 += d[7]
	c.K2 += d[8]
	c.Centre = r2.Add(c.Centre, r2.Vec{X: d[centreX], Y: d[centreY]})
	c.K3 += d[thirdK]
	c.Wider += d[stretch]
	return c
}

// cornerResiduals are the distances from seen to projected corners, in standard
// deviations and bounded in their pull as Huber's (1964).
func cornerResiduals(c Camera, ms []match) []float64 {
	out := make([]float64, 0, 2*len(ms)+freedoms) // room for the priors' too
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
	out := []float64{math.Log(c.F/pr.f) / pr.fSpread, c.K1 / k1Spread, c.K2 / k2Spread}
	if spread := centreSpreads[pr.lens.centre] * pr.diagonal(); spread > 0 {
		d := r2.Scale(1/spread, r2.Sub(c.Centre, pr.middle()))
		out = append(out, d.X, d.Y)
	}
	if pr.lens.third {
		out = append(out, c.K3/k3Spread)
	}
	if pr.lens.wider {
		out = append(out, c.Wider/widerSpread)
	}
	return out
}

func (pr prior) diagonal() float64 { return math.Hypot(float64(pr.width), float64(pr.height)) }

// heightU is the standard uncertainty of the camera's height, mm, by the law of
// propagation (JCGM 100:2008, 5.2) from the corners' noise and the priors. Seen
// from straight above, a cropped photo hardly tells height from focal length.
func heightU(c Camera, ms []match, pr prior) float64 {
	free := pr.free()
	n := len(free)
	at := func(d []float64) Camera {
		all := make([]float64, freedoms)
		for i, k := range free {
			all[k] = d[i]
		}
		return moved(c, all)
	}
	residuals := func(c Camera) []float64 { return append(cornerResiduals(c, ms), priorResiduals(c, pr)...) }
	r0, z0 := residuals(c), c.Eye().Z
	J := linalg.NewDense(len(r0), n, nil)
	g := linalg.NewVecDense(n, nil)
	d := make([]float64, n)
	for k, f := range free {
		d[k] = stepSizes[f]
		cam := at(d)
		for i, r := range residuals(cam) {
			J.Set(i, k, (r-r0[i])/d[k])
		}
		g.SetVec(k, (cam.Eye().Z-z0)/d[k])
		d[k] = 0
	}
	var A linalg.SymDense
	A.SymOuterK(1, J.T())
	var chol linalg.Cholesky
	var x linalg.VecDense
	if !chol.Factorize(&A) || chol.SolveVecTo(&x, g) != nil {
		return math.Abs(z0)
	}
	return math.Sqrt(math.Max(0, linalg.Dot(g, &x)))
}
