package parallax

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

func wavy(n int) []r2.Vec {
	out := make([]r2.Vec, n)
	for i := range out {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		r := 1 / math.Sqrt(c*c/1600+s*s/300) * (1 + 0.01*math.Sin(float64(i)*0.7))
		out[i] = r2.Vec{X: 250 + r*c, Y: 200 + r*s}
	}
	return out
}

func BenchmarkAbove(b *testing.B) {
	views := []View{{wavy(450), Eye{Foot: r2.Vec{X: 100, Y: 100}, Height: 400}}}
	s := Upright(4)
	s.Lean = r2.Vec{Y: 0.5}
	for b.Loop() {
		if _, err := Above(views, s); err != nil {
			b.Fatal(err)
		}
	}
}
