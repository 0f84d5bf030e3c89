package stereo

import (
	"errors"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/shapetest"
)

// The top of a block is found where it was drawn, whatever its slope: flat, low on
// one side, a ridge, a dome, as high as a block is.
func TestBlock(t *testing.T) {
	for name, top := range map[string]func(x, y float64) float64{
		"flat, 10 mm": flat(10),
		"flat, 30 mm": flat(30),
		"belly":       func(_, y float64) float64 { return 14 + 0.3*y },
		"taper":       func(x, y float64) float64 { return 20 + 0.08*x - 0.1*y },
		"triangle":    func(_, y float64) float64 { return 15 - 0.6*y },
		"dome":        func(_, y float64) float64 { return 24 - 0.012*y*y },
	} {
		t.Run(name, func(t *testing.T) {
			s := slab(top)
			s.face = shapetest.Placed(shapetest.Parallelogram(60, 34, 0), 20, middle) // the picture holds its high top too
			points, err := s.pair(r2.Vec{}).Block(long)
			if err != nil {
				t.Fatal(err)
			}
			var off []float64
			for _, p := range points {
				off = append(off, math.Abs(p.Z-s.top(r2.Vec{X: p.X, Y: p.Y})))
			}
			slices.Sort(off)
			half, most := off[len(off)/2], off[len(off)*95/100]
			t.Logf("%d points, off by %.2f mm in the median, %.2f in 95 of 100", len(off), half, most)
			if len(off) < 15 || half > 0.3 || most > 1 {
				t.Errorf("%d points, off by %.2f mm in the median, %.2f in 95 of 100; want 0.3 and 1", len(off), half, most)
			}
		})
	}
}

// A bare wall of flesh with no texture to compare tells no height.
func TestBlockWithoutTexture(t *testing.T) {
	s := slab(flat(20))
	s.texture = 0
	if points, err := s.pair(r2.Vec{}).Block(long); !errors.Is(err, ErrApart) {
		t.Errorf("%d points, %v", len(points), err)
	}
}
