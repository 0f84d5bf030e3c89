// Package fan counts slices that lie fanned in a row, each on the last, so that of
// all but the uppermost a strip shows. Where one slice's side lies on the next there
// is a seam, along which light changes from one flank of the row to the other; all
// seams are bowed alike, turn evenly along the row and lie about evenly apart. It
// takes the upright picture and an outline in mm, and measures nothing.
package fan

import (
	"image"
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/shape"
)

// Fewest and Most are how many slices a row may have for it to be counted.
const Fewest, Most = 3, 12

// From so much evidence for each seam on a thing may be a row. Its count is sure where
// it is so far ahead of every other, and where it is less ahead if its seams are clear.
// Of 92 rendered rows, the last 40 rendered to hold what the first had set, 68 are sure
// so, none wrongly; the wrong one that was the farthest ahead was 1.8 ahead.
const maySeam, sureSeam, clearSeam, farAhead, ahead = 0.3, 0.8, 1.2, 2.0, 1.0

// Count is how many slices the row with this outline has, and whether that is sure;
// 0 for what is no row.
func Count(light *image.Gray, pxPerMM float64, outline []r2.Vec) (n int, sure bool) {
	seams, all := map[int]float64{}, map[int]float64{} // what seams tell, and what notches do with them
	axis := shape.Outline(outline).LongAxis()
	for _, along := range []r2.Vec{axis, {X: -axis.Y, Y: axis.X}} {
		v := lay(light, pxPerMM, outline, along)
		if !v.isRow() {
			continue
		}
		left := notches(outline, along)
		for _, s := range v.likely() {
			for n, e := range s.counts(v.from, v.to) {
				if old, known := seams[n]; !known || e > old {
					seams[n], all[n] = e, e+tell(left, n)
				}
			}
		}
	}
	n, by := leader(all)
	each := seams[n] / float64(n-1)
	if n < Fewest || each < maySeam {
		return 0, false
	}
	return n, by >= farAhead && each >= sureSeam || by >= ahead && each >= clearSeam
}

// leader is the count that most speaks for, and by how much more than for any other.
func leader(evidence map[int]float64) (n int, by float64) {
	first, second := math.Inf(-1), math.Inf(-1)
	for _, k := range slices.Sorted(maps.Keys(evidence)) {
		switch e := evidence[k]; {
		case e > first:
			n, first, second = k, e, first
		case e > second:
			second = e
		}
	}
	return n, first - second
}
