package inspect

import (
	"image"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/mat"
	"netagauge/internal/see/segment"
)

// The mat is bare beside a piece where it is field and nothing else lies.
func TestBareMat(t *testing.T) {
	square := func(x, y, size float64) *thing {
		return &thing{seen: segment.Piece{Outline: []r2.Vec{{X: x, Y: y}, {X: x + size, Y: y}, {X: x + size, Y: y + size}, {X: x, Y: y + size}}}}
	}
	p, near, far := square(20, 20, 20), square(45, 20, 20), square(20, 90, 20)
	s := scene{
		found: mat.Found{Layout: mat.Layout{Field: r2.NewBox(10, 10, 120, 120)}},
		up:    segment.Upright{Picture: image.NewYCbCr(image.Rect(0, 0, 130, 130), image.YCbCrSubsampleRatio444), PxPerMM: 1},
	}
	light := s.bare(p, []*thing{p, near, far})
	for _, c := range []struct {
		at   r2.Vec
		bare bool
	}{{r2.Vec{X: 42, Y: 30}, true}, {r2.Vec{X: 50, Y: 30}, false}, {r2.Vec{X: 30, Y: 12}, true}, {r2.Vec{X: 30, Y: 9}, false}, {r2.Vec{X: 15, Y: 50}, true}} {
		if _, bare := light(c.at); bare != c.bare {
			t.Errorf("at %v the mat is bare: %v, want %v", c.at, bare, c.bare)
		}
	}
}
