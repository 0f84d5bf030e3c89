package parallax

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/rank"
)

// Shade is how dark the mat is beside a side of a slice: the logarithm of its light at
// growing distances from the outline, less that of the mat farther off.
//
// A slice takes from the mat the light that comes over its upper edge from behind. So
// where the mat is dark, and how far, tells where that edge lies: above the outline
// where the wall stands upright, and as far inside as a wall runs out.
type Shade struct {
	Normal, Mid r2.Vec // of the side: outward, and its middle on the mat plane, mm
	dark        [distances]float64
}

// Distances from the outline grow by a factor. Nearer than the first the blurred edge
// and a phone's sharpening are seen; the mat farther off is looked at beyond the last.
const (
	distances = 6
	nearest   = 1.3 // mm
	farther   = 1.48
)

// away is how far off the outline the mat is looked at, mm.
var away = func() (mm [distances + 1]float64) {
	for i := range mm {
		mm[i] = nearest * math.Pow(farther, float64(i))
	}
	return mm
}()

// Where a side is looked at: along its middle, where the rim faces as it does, at three
// places about each distance.
const (
	shadeSpan = 0.7 // share of its length
	shadeWay  = 0.8 // cosine
	offChord  = 2.0 // mm that a curved side may lie off its middle
	leastRim  = 4   // points
)

// Shades looks at the mat beside the sides of a slice, of which normal and middle are
// told. light is the logarithm of the mat's light at a place, false where it is not seen.
func (r Rim) Shades(sides []Side, light func(r2.Vec) (float64, bool)) []Shade {
	var out []Shade
	var far []float64
	for _, s := range sides {
		shade := Shade{Normal: s.Normal, Mid: s.Mid}
		part := r.along(s)
		seen := len(part) >= leastRim
		for i := range away {
			v, ok := part.median(away[i], light)
			switch {
			case i < distances:
				shade.dark[i], seen = v, seen && ok
			case ok:
				far = append(far, v)
			}
		}
		if seen {
			out = append(out, shade)
		}
	}
	if len(far) == 0 {
		return nil
	}
	bare := rank.Midpoint(far)
	for k := range out {
		for i := range out[k].dark {
			out[k].dark[i] -= bare
		}
	}
	return out
}

// along is the rim along the middle of a side.
func (r Rim) along(s Side) (out Rim) {
	for _, p := range r {
		d := r2.Sub(p.at, s.Mid)
		if r2.Dot(p.normal, s.Normal) > shadeWay && math.Abs(r2.Cross(d, s.Normal)) < shadeSpan/2*s.Length && math.Abs(r2.Dot(d, s.Normal)) < offChord {
			out = append(out, p)
		}
	}
	return out
}

// median is the light so far off a part of a rim, false where half of it is not seen.
func (r Rim) median(mm float64, light func(r2.Vec) (float64, bool)) (float64, bool) {
	about := math.Pow(farther, 1.0/3)
	var seen []float64
	for _, p := range r {
		for _, d := range [...]float64{mm / about, mm, mm * about} {
			if v, ok := light(r2.Add(p.at, r2.Scale(d, p.normal))); ok {
				seen = append(seen, v)
			}
		}
	}
	if 2*len(seen) <= 3*len(r) {
		return 0, false
	}
	return rank.Median(seen), true
}
