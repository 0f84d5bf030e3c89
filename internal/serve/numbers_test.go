package serve

import (
	"testing"

	"netagauge/internal/core/solid"

	"gonum.org/v1/gonum/spatial/r2"

	"pgregory.net/rapid"
)

func box(x, y, w, h float64) []r2.Vec {
	return []r2.Vec{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
}

// rows are slices in rows and columns so far apart, of one size.
func rows(across, down int, w, h, gapX, gapY float64) (all []shapeData, outlines [][]r2.Vec) {
	for j := range down {
		for i := range across {
			x, y := 12+float64(i)*(w+gapX), 12+float64(j)*(h+gapY)
			outlines = append(outlines, box(x, y, w, h))
			all = append(all, shapeData{Number: len(all) + 1, X: x + w/2, Y: y + h/2})
		}
	}
	return all, outlines
}

// Twenty slices that hold their numbers keep them; twenty too slender ones have them
// beside, with lines, none on a slice and none on another.
func TestNumbersOfACrowdedTray(t *testing.T) {
	all, outlines := rows(4, 5, 80, 32, 10, 10)
	putNumbers(all, outlines, 276)
	for _, x := range all {
		if x.Lead != nil {
			t.Errorf("number %d fits, and lies beside its slice", x.Number)
		}
	}
	all, outlines = rows(4, 5, 60, 18, 30, 34)
	putNumbers(all, outlines, 276)
	apart(t, all, outlines)
	for i, x := range all {
		if x.Lead == nil || !solid.Inside(outlines[i], *x.Lead) {
			t.Errorf("number %d does not fit, and no line leads to its slice: %+v", x.Number, x)
		}
	}
}

// apart holds moved numbers to lie on no slice and on no other that has its place.
func apart(t interface {
	Helper()
	Errorf(string, ...any)
}, all []shapeData, outlines [][]r2.Vec) {
	t.Helper()
	for i, x := range all {
		if x.Lead == nil {
			continue
		}
		l := labelOf(x, r2.Vec{X: x.X, Y: x.Y})
		for j, o := range outlines {
			if part, _ := l.on(o); part {
				t.Errorf("number %d lies on slice %d", x.Number, j+1)
			}
			other := labelOf(all[j], r2.Vec{X: all[j].X, Y: all[j].Y})
			if _, fits := other.on(o); j != i && (fits || all[j].Lead != nil) && l.meets(other) { // one that found no place stays where it is
				t.Errorf("numbers %d and %d lie on each other", x.Number, j+1)
			}
		}
	}
}

// However slices lie, a number that was moved is free.
func TestMovedNumbersAreFree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []shapeData
		var outlines [][]r2.Vec
		for n := range rapid.IntRange(1, 25).Draw(t, "slices") {
			draw := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
			x, y, w, h := draw("x", 0, 300), draw("y", 0, 230), draw("w", 10, 90), draw("h", 10, 40)
			outlines = append(outlines, box(x, y, w, h))
			all = append(all, shapeData{Number: n + 1, X: x + w/2, Y: y + h/2})
		}
		putNumbers(all, outlines, 276)
		apart(t, all, outlines)
	})
}
