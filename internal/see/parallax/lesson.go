package parallax

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
)

// lesson is what one shade tells of the lamps: how much it counts, the loss of either
// light there by the leans that may be, and the shade, both by standard deviations of
// what is left when all is known.
type lesson struct {
	counts float64
	lost   losses
	dark   [distances]float64
}

type losses [distances][2]float64

// How shades lie off, by those trays: all of a side by shadeAll; at one distance, mm, by
// shadeNear over it, neighbouring ones alike, over a factor e^alikeOver; and each by
// shadeEach. They lie off with long tails: Student's t of shadeFreedom degrees. Since the
// sides of a slice err alike, their log likelihoods count by half.
const (
	shadeAll     = 0.009
	shadeNear    = 0.025
	alikeOver    = 1.0
	shadeEach    = 0.005
	shadeFreedom = 4
	shadeCounts  = 0.5
)

// whitening takes shades to such as lie off independently, by standard deviations.
var whitening = sync.OnceValue(func() (w [distances][distances]float64) {
	cov := mat.NewSymDense(distances, nil)
	for i := range distances {
		for j := range i + 1 {
			r := math.Log(away[i]/away[j]) / alikeOver
			v := shadeAll*shadeAll + shadeNear*shadeNear/(away[i]*away[j])*math.Exp(-r*r)
			if i == j {
				v += shadeEach * shadeEach
			}
			cov.SetSym(i, j, v)
		}
	}
	var root mat.Cholesky
	root.Factorize(cov)
	var lower, inverse mat.TriDense
	root.LTo(&lower)
	if err := inverse.InverseTri(&lower); err != nil {
		panic(err) // of constants
	}
	for i := range w {
		for j := range i + 1 {
			w[i][j] = inverse.At(i, j)
		}
	}
	return w
})

// lesson is that of one of its shades.
func (s Shaded) lesson(shade Shade) lesson {
	t := lesson{counts: 1, dark: whiten(shade.dark)}
	for _, l := range s.Leans {
		lost := s.lost(shade, r2.Dot(l.Lean, shade.Normal))
		for i := range lost {
			for j, v := range lost[i] {
				t.lost[i][j] += l.Share * v
			}
		}
	}
	return t
}

// lost is the loss of either light beside a side whose wall leans so far.
func (s Shaded) lost(shade Shade, lean float64) losses {
	moved := s.Height / (s.Eye.Height - s.Height) * r2.Dot(r2.Sub(shade.Mid, s.Eye.Foot), shade.Normal)
	inside := math.Max(moved, lean*s.Height) // the outline: so far its upper edge
	var even, high [distances]float64
	for i := range distances {
		d := away[i] + inside
		c := d / math.Hypot(d, s.Height)
		even[i], high[i] = (1-c)/2, (1-c*c)/2
	}
	even, high = whiten(even), whiten(high)
	var out losses
	for i := range out {
		out[i] = [2]float64{even[i], high[i]}
	}
	return out
}

func whiten(v [distances]float64) (out [distances]float64) {
	w := whitening()
	for i := range out {
		for j := range i + 1 {
			out[i] += w[i][j] * v[j]
		}
	}
	return out
}

// off is by how much a shade lies off what a light would give.
func (t *lesson) off(lost *losses, light [2]float64) (e [distances]float64) {
	for i := range e {
		e[i] = t.dark[i] - lost[i][0]*light[0] - lost[i][1]*light[1]
	}
	return e
}

func square(v [distances]float64) (sum float64) {
	for _, x := range v {
		sum += x * x
	}
	return sum
}
