// Package fan counts slices that lie fanned in a row, each on the last, so that of
// all but the uppermost a strip shows. Where one slice's side lies on the next there
// is a seam, along which light changes from one flank of the row to the other; all
// seams are bowed alike, turn evenly along the row and lie about evenly apart. It
// takes the upright picture and an outline in mm, and measures nothing.
package fan

import (
	"cmp"
	"image"
	"maps"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/shape"
)

// Fewest and Most are how many slices a row may have for it to be counted.
const Fewest, Most = 3, 12

// From so much evidence for each seam on a thing may be a row; its count is sure from
// more on, and where there is so much more than for any other count.
const maySeam, sureSeam, sureCount = 0.3, 0.8, 1.0

// Count is how many slices the row with this outline has, and whether that is sure;
// 0 for what is no row.
func Count(light *image.Gray, pxPerMM float64, outline []r2.Vec) (n int, sure bool) {
	best := map[int]float64{}
	axis := shape.Outline(outline).LongAxis()
	for _, along := range []r2.Vec{axis, {X: -axis.Y, Y: axis.X}} {
		v := lay(light, pxPerMM, outline, along)
		if !v.isRow() {
			continue
		}
		for _, s := range v.likely() {
			for n, e := range s.counts(v.from, v.to) {
				best[n] = max(best[n], e)
			}
		}
	}
	if len(best) == 0 {
		return 0, false
	}
	counts := slices.SortedFunc(maps.Keys(best), func(a, b int) int { return cmp.Or(cmp.Compare(best[b], best[a]), a-b) })
	n, next := counts[0], 0.0
	if len(counts) > 1 {
		next = best[counts[1]]
	}
	if n < Fewest || best[n] < maySeam*float64(n-1) {
		return 0, false
	}
	return n, best[n] >= sureSeam*float64(n-1) && best[n] >= next+sureCount
}
