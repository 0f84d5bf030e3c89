package stereo

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// done sums up a fitted surface: its mean over the outline, and how sure its
// height is: from the curve of the likelihood, and from how far the heights of
// its quarters, each by itself, lie apart.
func (f *fit) done(s Surface) Surface {
	var sum, area float64
	for b, a := range f.area {
		sum, area = sum+a*f.height(&s, b), area+a
	}
	s.Mean = sum / math.Max(area, 1)
	// Moves that change the likelihood by about one: 0.1 mm of height, and slopes that lift a slice's ends by as much.
	s.HeightU = math.Max(f.doubt(s, 0.1, func(s *Surface, d float64) { s.Height += d }), f.apart(s))
	s.AlongU = f.doubt(s, 0.0025, func(s *Surface, d float64) { s.Along += d })  // 0.1 mm at 40 mm, half a slice's length
	s.AcrossU = f.doubt(s, 0.006, func(s *Surface, d float64) { s.Across += d }) // 0.1 mm at 17 mm, half its width
	return s
}

// doubt is the standard uncertainty that the curve of the likelihood leaves to
// one number of a surface, which move changes.
func (f *fit) doubt(s Surface, step float64, move func(s *Surface, by float64)) float64 {
	up, down := s, s
	move(&up, step)
	move(&down, -step)
	curve := (2*s.Gain - f.likelihood(up) - f.likelihood(down)) / (step * step)
	return 1 / math.Sqrt(math.Max(curve, 0.01)) // flatter than this, the step is unknown by 10 of its units
}

const quarters = 4

// apart is the standard deviation of the mean of the heights of the quarters
// along the slice.
func (f *fit) apart(s Surface) float64 {
	var off []float64
	for _, quarter := range f.along(quarters) {
		best, most := 0.0, 0.0
		for d := -1.0; d <= 1; d += 0.05 { // mm
			l := f.v.likelihood(quarter, func(b int) float64 { return f.height(&s, b) + d })
			if l > most {
				best, most = d, l
			}
		}
		off = append(off, best)
	}
	return stat.StdDev(off, nil) / math.Sqrt(quarters)
}
