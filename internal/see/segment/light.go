package segment

import (
	"iter"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Smeared colour tells an edge to some tenths of a millimetre, and errs alike along
// a whole side; so does colour that piece and mat nearly share, as pale fish does with
// a black board or salmon with wood. Brightness stays sharp and steps at the same edge,
// but elsewhere as well: where the face ends and a wall begins, in water, at a shadow.
// So colour says which step is the edge, and brightness where it lies. Our settings.
const (
	lightReach = 0.9  // mm either way
	lightEvery = 0.05 // mm
	lightCount = 37   // samples: 2 lightReach / lightEvery, and one
	lightAlong = 3    // neighbours either way whose profiles are averaged
	notTurned  = 0.94 // cosine between the normals of such neighbours
	colourOff  = 0.2  // mm, the standard deviation of an edge told by smeared colour,
	nearOff    = 0.06 // and, by how far the ratios lie apart, of one told by colours
	nearest    = 0.6  // mm, at most, that lie nearer to each other
	farApart   = 0.25 // than this: beyond it colour needs no help
	leastTold  = 0.3  // share of an outline's places where colours differ at all
	leastLight = 6.0  // code values by which brightness must step
	unlit, lit = 0.6, 0.4
)

// lightProfile is brightness across an outline, from the inside out.
type lightProfile [lightCount]float64

// toLight moves points where colour cannot tell the edge well to the step of
// brightness beside them, or as their neighbours are moved where there is none. Where
// colour tells next to nothing all round, a slice is like its shadow, and is left.
func (t *tracer) toLight(pts []point) {
	var help, told int
	for _, p := range pts {
		if t.off(p) > 0 {
			help++
		}
		if p.apart > 0 {
			told++
		}
	}
	if help == 0 || float64(told) < leastTold*float64(len(pts)) {
		return
	}
	byColour := slices.Clone(pts)
	profiles := make([]lightProfile, len(pts))
	for i, p := range pts {
		profiles[i] = t.lightAcross(p)
	}
	half := max(1, int(t.light/2/lightEvery))
	for i, p := range byColour {
		pts[i].moved = 0
		if off := t.off(p); off > 0 {
			mean := meanLight(pts, profiles, i)
			pts[i].moved, pts[i].found = mean.step(half, off)
		}
	}
	settle(pts)
	for i := range pts {
		open := lit
		if !pts[i].found {
			pts[i].found, open = byColour[i].found, unlit
		}
		pts[i].rise = math.Hypot(pts[i].rise, open*t.smear)
	}
}

// off is how far from a point where colour has the edge brightness may have it, mm,
// one standard deviation; 0 where colour needs no help.
func (t *tracer) off(p point) float64 {
	switch {
	case t.smear > 0:
		return colourOff
	case p.apart > farApart:
		return 0
	}
	return math.Min(nearest, nearOff/p.apart)
}

// lightAcross reads the full photo's brightness across an outline; zero where that
// leaves the photo.
func (t *tracer) lightAcross(p point) (out lightProfile) {
	for k := range out {
		q := t.cam.Project(r2.Add(p.at, r2.Scale(float64(k)*lightEvery-lightReach, p.normal)), 0)
		v, ok := bilinear(lightOf(t.photo), q)
		if !ok {
			return lightProfile{}
		}
		out[k] = v
	}
	return out
}

// meanLight is the mean profile of a point and of those neighbours that face its way.
func meanLight(pts []point, profiles []lightProfile, i int) (mean lightProfile) {
	count := 0.0
	for k := range neighbours(pts, i) {
		count++
		for s, v := range profiles[k] {
			mean[s] += v
		}
	}
	for s := range mean {
		mean[s] /= count
	}
	return mean
}

// neighbours are a point and those neighbours that face its way.
func neighbours(pts []point, i int) iter.Seq[int] {
	return func(yield func(int) bool) {
		n := len(pts)
		for k := i - lightAlong; k <= i+lightAlong; k++ {
			j := (k + n) % n
			if r2.Dot(pts[j].normal, pts[i].normal) >= notTurned && !yield(j) {
				return
			}
		}
	}
}

// step is the place, mm outward from the middle, of the step of brightness that
// stands out most, the nearer the better, by the standard deviation off, mm; half is
// half of a sharp step's rise, in samples.
func (p *lightProfile) step(half int, off float64) (at float64, ok bool) {
	change := func(i int) float64 { return math.Abs(p[i+half] - p[i-half]) }
	place := func(i float64) float64 { return i*lightEvery - lightReach }
	best := 0.0
	for i := half + 1; i < lightCount-half-1; i++ {
		a, b, c := change(i-1), change(i), change(i+1)
		if b < leastLight || b < a || b <= c {
			continue
		}
		far := place(float64(i)) / off
		if odds := b * math.Exp(-0.5*far*far); odds > best {
			best, at, ok = odds, place(float64(i)+0.5*(a-c)/(a-2*b+c)), true
		}
	}
	return at, ok
}
