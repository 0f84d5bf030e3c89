package fan

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/stat/distuv"
)

// stairs is the outline of slices of 80 mm, each so far right of the last and so far
// down: a notch for each seam on either flank.
func stairs(n int, step, down float64) (out []r2.Vec) {
	for k := range n {
		x, y := float64(k)*step, float64(k)*down
		out = append(out, r2.Vec{X: x, Y: y}, r2.Vec{X: x + step, Y: y})
	}
	for k := n - 1; k >= 0; k-- {
		x, y := float64(k)*step, float64(k)*down+80
		out = append(out, r2.Vec{X: x + step, Y: y}, r2.Vec{X: x, Y: y})
	}
	return out
}

func TestNotches(t *testing.T) {
	right := r2.Vec{X: 1}
	for _, n := range []int{1, 2, 3, 6, 10} {
		outline := stairs(n, 14, 4)
		if got := notches(outline, right); got != n-1 {
			t.Errorf("%d slices: %d notches", n, got)
		}
		if Notched(outline) != (n > 1) {
			t.Errorf("%d slices: notched is %v", n, n <= 1)
		}
		slices.Reverse(outline) // either way round
		if got := notches(outline, right); got != n-1 {
			t.Errorf("%d slices, outline turned round: %d notches", n, got)
		}
	}
	if got := notches(stairs(5, 14, 0.3), right); got != 0 {
		t.Errorf("steps of 0.3 mm: %d notches", got)
	}
	if Notched([]r2.Vec{{}, {X: 1}, {Y: 1}}) {
		t.Error("a speck is notched")
	}
}

// The chance of k notches at m seams is the binomial one over all chances of a seam's
// notch, by their beta distribution: integrated here in place of the closed form.
func TestTellIsTheBetaBinomial(t *testing.T) {
	chance := distuv.Beta{Alpha: 4, Beta: 1}
	for m := 2; m <= 11; m++ {
		for k := 1; k <= m; k++ {
			want := math.Log(quad.Fixed(func(p float64) float64 {
				return chance.Prob(p) * distuv.Binomial{N: float64(m), P: p}.Prob(float64(k))
			}, 0, 1, 60, nil, 0))
			if got := tell(k, m+1); math.Abs(got-want) > 1e-6 {
				t.Errorf("%d notches, %d seams: %g, want %g", k, m, got, want)
			}
		}
		if over := tell(m+2, m+1) - tell(m, m+1); math.Abs(over+2*notchCost) > 1e-9 {
			t.Errorf("two notches too many for %d seams: %g", m, over)
		}
	}
}
