package fan

import (
	"cmp"
	"math"
	"slices"

	"netagauge/internal/core/rank"
	"netagauge/internal/core/uncertainty"
)

// The shapes of seams that are tried: how far one leans and is bowed.
const (
	leans    = 41  // from -mostLean to mostLean, px of row for each px across
	mostLean = 0.6 // a seam leans by the slices' own slant and the fan's turn
	bows     = 5   // from -mostBow to mostBow
	mostBow  = 6.0 // mm: the sides of a loin's slices are bowed
	// A seam is looked at in parts; of them all but the highest and the lowest
	// count, so that no single streak makes a seam.
	parts, leastParts = 10, 7
	nearby            = 2   // leans by which one slice may lie off the others
	followed          = 300 // of all shapes, so many best ones are followed up
)

// seams is the evidence for a seam at each place of the row, for one way in which
// all of them may lean and be bowed.
type seams struct {
	up       bool // light rises from left to right, so the upper slice lies right
	evidence []float64
	quick    float64
	ends     float64 // evidence against, where the row's ends do not lie as its seams
}

// scores are, for each bow, lean and place along the row, the change of light along
// a seam there, in standard deviations of what lies anywhere in the row.
func (v *view) scores() [bows][leans][]float64 {
	var out [bows][leans][]float64
	y0, y1 := v.top+3, v.bottom-3
	sums, counts := make([]float32, parts*v.w), make([]float32, parts*v.w)
	var all []float64
	for i := range bows {
		for j := range leans {
			clear(sums)
			clear(counts)
			for y := y0; y < y1; y++ {
				v.add(y, int(math.Round(v.seam(i, float64(j), y))), (y-y0)*parts/(y1-y0), sums, counts)
			}
			out[i][j] = v.along(sums, counts, float32(y1-y0)/parts/2)
			for _, s := range out[i][j][min(v.w, v.from+6):max(min(v.w, v.from+6), v.to-6)] {
				if s != 0 {
					all = append(all, math.Abs(s))
				}
			}
		}
	}
	const least = 0.004 // of the logarithm of light: finer than a photo's own steps
	noise := least
	if len(all) > 0 {
		noise = max(noise, uncertainty.FromMedian*rank.Median(all))
	}
	for i := range out {
		for j := range out[i] {
			for x := range out[i][j] {
				out[i][j][x] /= noise
			}
		}
	}
	return out
}

// seam is how far to the right, px, one of a bow and a lean lies at y of where it
// lies half way.
func (v *view) seam(bow int, lean float64, y int) float64 {
	half := float64(v.bottom-v.top) / 2
	t := (float64(y) - float64(v.bottom+v.top)/2) / half
	return mostLean*(2*lean/(leans-1)-1)*half*t + mostBow*fine*(2*float64(bow)/(bows-1)-1)*(1-t*t)
}

// endOff is how far, mm, the ends of a row may lie off the seams' own shape.
const endOff = 1.5

// misfit is how badly an end of the row is a seam of a bow and a lean.
func (v *view) misfit(end, bow int, lean float64) float64 {
	var sum, squares float64
	for i, x := range v.ends[end] {
		d := (float64(x) - v.seam(bow, lean, v.endsFrom+i)) / fine
		sum, squares = sum+d, squares+d*d
	}
	n := float64(len(v.ends[end]))
	return (squares/n - sum*sum/(n*n)) / (2 * endOff * endOff)
}

// add adds a row of changes, moved to the left, to its part.
func (v *view) add(y, left, part int, sums, counts []float32) {
	from, to := max(0, -left), min(v.w, v.w-left)
	s, c := sums[part*v.w:], counts[part*v.w:]
	d, in := v.change[y*v.w:], v.in[y*v.w:]
	for x := from; x < to; x++ {
		if in[x+left] {
			s[x] += d[x+left]
			c[x]++
		}
	}
}

// along is the mean of the parts that are seen, without the highest and lowest.
func (v *view) along(sums, counts []float32, enough float32) []float64 {
	out := make([]float64, v.w)
	for x := range out {
		var sum, low, high float32
		n := 0
		for k := range parts {
			if c := counts[k*v.w+x]; c > enough {
				m := sums[k*v.w+x] / c
				if n == 0 {
					low, high = m, m
				}
				sum, low, high, n = sum+m, min(low, m), max(high, m), n+1
			}
		}
		if n >= leastParts {
			out[x] = float64((sum - low - high) / float32(n-2))
		}
	}
	return out
}

// likely are the ways in which the seams may lie for which most is seen.
func (v *view) likely() []seams {
	scores := v.scores()
	var all []seams
	for i := range bows {
		for mid := 6; mid < leans-6; mid += 2 {
			for turn := -12; turn <= 12; turn += 4 {
				for _, up := range []bool{true, false} {
					all = append(all, v.seams(&scores[i], i, mid, turn, up))
				}
			}
		}
	}
	slices.SortFunc(all, func(a, b seams) int {
		return cmp.Compare(b.quick-b.ends*strong, a.quick-a.ends*strong)
	})
	return all[:followed/bows]
}

// strong is how many pixels' evidence tells which shapes are followed up.
const strong = 30

// seams is the evidence where seams lean by mid half way along the row, and turn to
// either end, both in steps of leans.
func (v *view) seams(scores *[leans][]float64, bow, mid, turn int, up bool) seams {
	sign := -1.0
	if up {
		sign = 1
	}
	out := seams{up: up, evidence: make([]float64, v.w)}
	out.ends = v.misfit(0, bow, float64(mid-turn)) + v.misfit(1, bow, float64(mid+turn))
	centre, half := float64(v.from+v.to)/2, max(1, float64(v.to-v.from)/2)
	for x := range out.evidence {
		at := float64(mid) + float64(turn)*(float64(x)-centre)/half
		lean := max(nearby, min(leans-1-nearby, int(math.Round(at))))
		best := math.Inf(-1)
		for d := -nearby; d <= nearby; d++ {
			best = max(best, sign*scores[lean+d][x])
		}
		out.evidence[x] = best
	}
	inner := slices.Sorted(slices.Values(out.evidence[min(v.w, v.from+10):max(min(v.w, v.from+10), v.to-6)]))
	for _, e := range inner[max(0, len(inner)-strong):] {
		out.quick += e
	}
	return out
}
