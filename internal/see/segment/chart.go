package segment

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/rank"
	"netagauge/internal/see/mat"
)

// The printed edge of the field, colour to white paper at a known place, is a
// test chart in every photo. Profiles across it run from chartIn inside to
// chartOut outside, where the paper is bare: the tags' white cells and the notes
// keep at least a millimetre off, and a median passes over what does not.
const (
	chartIn, chartOut = 4.0, 3.0 // mm
	chartStep         = 0.1
	chartEvery        = 3.0    // mm along a side
	chartEnd          = 12     // samples at either end that give the levels
	chartLight        = 20.0   // code values by which the field's brightness must differ from
	chartColour       = 14.0   // paper's for its rise to be told, and its colour
	gaussRise         = 1.6832 // from one fifth to four fifths of a step blurred by a Gaussian, in its sigmas
)

// blur tells how far the photo smears brightness and colour: the rise from one
// fifth to four fifths of a sharp step, mm on the mat; either 0 where the field's edge
// does not show it.
type blur struct {
	light, colour float64
	sides         []chartProfile
}

// chart reads the blur off the field's printed edge.
func (p *planes) chart(cam *mat.Camera, field r2.Box) blur {
	var ls, cs []float64
	var sides []chartProfile
	for _, side := range [4][3]r2.Vec{
		{field.Min, {X: field.Max.X, Y: field.Min.Y}, {Y: -1}},
		{{X: field.Max.X, Y: field.Min.Y}, field.Max, {X: 1}},
		{{X: field.Min.X, Y: field.Max.Y}, field.Max, {Y: 1}},
		{field.Min, {X: field.Min.X, Y: field.Max.Y}, {X: -1}},
	} {
		p, ok := p.across(cam, side[0], side[1], side[2])
		if !ok {
			continue
		}
		l, c := p.rises()
		if l > 0 {
			ls = append(ls, l)
		}
		if l > 0 && c > 0 {
			cs, sides = append(cs, c), append(sides, p)
		}
	}
	out := blur{sides: sides}
	if len(ls) > 0 {
		out.light = rank.Median(ls)
	}
	if len(cs) > 0 {
		out.colour = rank.Median(cs)
	}
	return out
}

// chartProfile is the median profile across one side of the field.
type chartProfile []colour

func (p *planes) across(cam *mat.Camera, from, to, out r2.Vec) (chartProfile, bool) {
	n := int((chartIn+chartOut)/chartStep) + 1
	samples := make([][3][]float64, n)
	side := r2.Norm(r2.Sub(to, from))
	count := 0
	for d := 8.0; d < side-8; d += chartEvery { // mm: the field's corners lie nearer
		edge := r2.Add(from, r2.Scale(d/side, r2.Sub(to, from)))
		prof := make([]colour, n)
		ok := true
		for i := 0; i < n && ok; i++ {
			q := cam.Project(r2.Add(edge, r2.Scale(-chartIn+float64(i)*chartStep, out)), 0)
			prof[i], ok = p.at(q, p.sharp)
		}
		if !ok {
			continue
		}
		count++
		for i, c := range prof {
			for k, v := range [3]float64{c.l, c.b, c.r} {
				samples[i][k] = append(samples[i][k], v)
			}
		}
	}
	if count < 8 {
		return nil, false
	}
	mid := make(chartProfile, n)
	for i, s := range samples {
		mid[i] = colour{rank.Median(s[0]), rank.Median(s[1]), rank.Median(s[2])}
	}
	return mid, true
}

// rises are the rises of brightness and of colour, mm; NaN or 0 where they cannot be told.
func (p chartProfile) rises() (light, colour float64) {
	in, white := average(p[:chartEnd]), average(p[len(p)-chartEnd:])
	d := r2.Vec{X: white.b - in.b, Y: white.r - in.r}
	l, c := make([]float64, len(p)), make([]float64, len(p))
	for i, s := range p {
		l[i] = (s.l - in.l) / (white.l - in.l)
		c[i] = r2.Dot(d, r2.Vec{X: s.b - in.b, Y: s.r - in.r}) / r2.Norm2(d)
	}
	if math.Abs(white.l-in.l) > chartLight {
		light = riseOf(l)
	}
	if r2.Norm(d) > chartColour {
		colour = riseOf(c)
	}
	return light, colour
}

// riseOf is how far a profile from 0 to 1 takes from one fifth to four fifths.
func riseOf(v []float64) float64 {
	at := func(level float64) float64 {
		for i := 1; i < len(v); i++ {
			if v[i-1] < level && v[i] >= level {
				return float64(i-1) + (level-v[i-1])/(v[i]-v[i-1])
			}
		}
		return math.NaN()
	}
	return chartStep * (at(0.8) - at(0.2)) // as trace.go has a step's rise
}

// uneven is the sigma, mm on the mat, by which brightness must be blurred to be
// as soft as colour; 0 where they are alike, or differ by less than a colour sample
// of so many mm. So much does coarse JPEG coding, which no Gaussian describes, and
// sharpened brightness; there the ratio of the two, both at the samples of colour,
// tells an edge better than a fit that takes brightness for perfectly sharp.
func (b blur) uneven(sample float64) float64 {
	if b.colour < alike*b.light {
		return 0
	}
	sigma := math.Sqrt(b.colour*b.colour-b.light*b.light) / gaussRise
	if sigma < sample {
		return 0
	}
	return b.fitted(sigma)
}

// fitted is the sigma, mm, by which the sides' steps are fitted best, near a first
// guess: a smear that reaches beyond the profiles' ends makes rises look short.
func (b blur) fitted(guess float64) float64 {
	var best []float64
	for _, p := range b.sides {
		m, ok := mixtureOf(average(p[:chartEnd]), average(p[len(p)-chartEnd:]))
		if !ok {
			continue
		}
		sigma, least := guess, math.Inf(1)
		// the guess is rather too small than too large; steps of 3 % are finer than it is known
		for s := 0.8 * guess; s < 2.5*guess; s *= 1.03 {
			if _, left := m.smearedStep(p, s/chartStep); left < least {
				sigma, least = s, left
			}
		}
		best = append(best, sigma)
	}
	if len(best) == 0 {
		return guess
	}
	return rank.Median(best)
}

// alike is the ratio of rises up to which brightness and colour count as equally
// sharp. Our setting.
const alike = 1.6
