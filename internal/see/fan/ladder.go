package fan

import "slices"

// What rows can be, mm and shares. Each slice but the uppermost shows a third to
// two thirds of its width, common practice; seams lie evenly but for the hand.
const (
	narrowest, widest = 25, 60
	usual, usualOff   = 34.0, 6.0
	leastShown        = 1 / 3.0
	mostShown         = 0.7
	offStep           = 0.2  // of a step that a seam may lie off
	apart             = 0.25 // of a step beside a seam that no other is counted in
	offCost           = 0.7  // evidence that being off so far costs
	otherWay          = 1.0  // evidence against light that rises the other way
)

// worth is what a score in standard deviations says for a seam, or against: three
// tell nothing, six say as much as is ever said.
func worth(score float64) float64 { return max(-2, min(2, (score-3)/1.5)) }

// counts is the evidence for each count of slices, for a row from one place to
// another, whichever end is on top.
func (s seams) counts(from, to int) map[int]float64 {
	out := map[int]float64{}
	worths := make([]float64, len(s.evidence))
	for i, e := range s.evidence {
		worths[i] = worth(e)
	}
	s.upper(worths, from, to, !s.up, out)
	slices.Reverse(worths)
	s.upper(worths, len(worths)-1-to, len(worths)-1-from, s.up, out)
	return out
}

// upper tries rows whose uppermost slice lies at the left.
func (s seams) upper(worths []float64, from, to int, expected bool, best map[int]float64) {
	peaks := peaksOf(worths)
	long := float64(to-from) / fine
	for n := 2; n <= Most; n++ {
		for width := float64(narrowest); width < widest; width++ {
			step := (long - width) / float64(n-1)
			if step < leastShown*width || step > mostShown*width {
				continue
			}
			e := ladder(worths, peaks, float64(from), float64(to), width*fine, step*fine, n-1)
			off := (width - usual) / usualOff
			e -= off*off/2 + s.ends
			if !expected {
				e -= otherWay
			}
			if old, tried := best[n]; !tried || e > old {
				best[n] = e
			}
		}
	}
}

// ladder is the evidence for seams a step apart, the first a width from the end:
// what is seen where they should lie, less what is seen between them.
func ladder(worths []float64, peaks []int, from, to, width, step float64, seams int) float64 {
	reach := max(1, int(offStep*step))
	var at []float64
	sum := 0.0
	for k := range seams {
		x := from + width + float64(k)*step
		best, where := -10.0, x // less than any seam is worth
		for i := max(0, int(x)-reach); i <= min(len(worths)-1, int(x)+reach); i++ {
			off := (float64(i) - x) / float64(reach+1)
			if w := worths[i] - offCost*off*off; w > best {
				best, where = w, float64(i)
			}
		}
		sum, at = sum+best, append(at, where)
	}
	for _, p := range peaks {
		x := float64(p)
		if x < from+leastShown*width || x > to-leastShown*step {
			continue
		}
		// A peak so near a seam that counted is that seam's own, blurred. Our setting.
		near := slices.ContainsFunc(at, func(a float64) bool { return max(a-x, x-a) <= max(2.5*fine, apart*step) })
		if !near {
			sum -= worths[p]
		}
	}
	return sum
}

// peaksOf are the places that speak for a seam more than any within 3 mm.
func peaksOf(worths []float64) (out []int) {
	const about = 3 * fine
	for x, w := range worths {
		if w > 0 && w == slices.Max(worths[max(0, x-about):min(len(worths), x+about+1)]) {
			out = append(out, x)
		}
	}
	return out
}
