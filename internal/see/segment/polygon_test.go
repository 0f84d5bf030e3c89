package segment

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/solid"
)

// A thin spur, a notch as thin and a loop go; the corners of slices stay, and so does
// an outline that has nothing of the kind.
func TestWithoutSpurs(t *testing.T) {
	box := []r2.Vec{{X: 0, Y: 0}, {X: 80, Y: 0}, {X: 80, Y: 30}, {X: 0, Y: 30}}
	with := func(extra ...r2.Vec) []r2.Vec { // into the upper side
		return append(append(append([]r2.Vec(nil), box[:1]...), extra...), box[1:]...)
	}
	area := solid.Area(box)
	for _, c := range []struct {
		name string
		o    []r2.Vec
		want float64
	}{
		{"spur", with(r2.Vec{X: 40}, r2.Vec{X: 40, Y: -5}, r2.Vec{X: 40.6, Y: -5}, r2.Vec{X: 40.6}), area},
		{"notch", with(r2.Vec{X: 40}, r2.Vec{X: 41, Y: 6}, r2.Vec{X: 41.5, Y: 6}, r2.Vec{X: 40.6}), area},
		{"loop", with(r2.Vec{X: 40}, r2.Vec{X: 40.5, Y: -3}, r2.Vec{X: 37, Y: -3}, r2.Vec{X: 40.5, Y: 0.2}), area},
		{"at its first point", append(append([]r2.Vec{{X: -6, Y: 0.3}}, box...), r2.Vec{Y: 0.6}), area},
		{"a wide bay stays", with(r2.Vec{X: 30}, r2.Vec{X: 31, Y: 5}, r2.Vec{X: 35, Y: 5}, r2.Vec{X: 36}), area - 25},
	} {
		if got := solid.Area(withoutSpurs(c.o)); got < c.want-2.5 || got > c.want+2.5 {
			t.Errorf("%s: %.1f mm², want %.1f", c.name, got, c.want)
		}
	}
	acute := []r2.Vec{{X: 0, Y: 0}, {X: 60, Y: 0}, {X: 52, Y: 30}} // its sharpest corner has 30°
	if got := withoutSpurs(acute); len(got) != len(acute) {
		t.Errorf("a triangle came back as %d points", len(got))
	}
}
