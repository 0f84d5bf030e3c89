package segment

import (
	"math"
	"testing"
)

// A slice on a mat: the edge lies at a known place between samples, a dark wall
// and a shadow at its foot beside it, and colour is smeared over five samples.
// The edge found must be the edge drawn, within 0.3 of a sample; half of the ratio
// of colour to brightness, by which a photo with sharp colour is read, lies farther
// off. So it is when colours were edited afterwards, which mixes brightness into them.
func TestSmearedEdgeIsWhereItWasDrawn(t *testing.T) {
	const n, sigma = 48, 5.0
	light := func(x, edge float64) float64 {
		switch {
		case x < edge-6:
			return 150
		case x < edge: // the wall
			return 70
		case x < edge+4: // the shadow
			return 45
		}
		return 75
	}
	for _, edge := range []float64{20.25, 23.5, 24, 27.75} {
		mixed := 0.12 * float64(int(edge)%2)
		prof := make([]colour, n)
		fine := func(x float64) (l, b float64) { // a sample is the mean of what it spans
			const k = 40
			for i := range k {
				at := x + (float64(i)+0.5)/k - 0.5
				v := light(at, edge)
				l += v / k
				if at < edge {
					b += -0.3 * v / k
				} else {
					b += 0.4 * v / k
				}
			}
			return l, b
		}
		for x := range prof {
			prof[x].l, _ = fine(float64(x))
			var sum, weight float64
			for k := -30; k <= 30; k++ {
				w := math.Exp(-0.5 * float64(k*k) / (sigma * sigma))
				_, b := fine(math.Max(-0.5, math.Min(n-0.5, float64(x+k))))
				sum, weight = sum+w*b, weight+w
			}
			prof[x].b = sum / weight
		}
		for x := range prof {
			prof[x].b += mixed * prof[x].l
		}
		m, ok := mixtureOf(colour{150, -45 + mixed*150, 0}, colour{75, 30 + mixed*75, 0})
		if !ok {
			t.Fatal("no mixture")
		}
		if got := m.smearedEdge(prof, sigma); math.Abs(got-edge) > 0.3 {
			t.Errorf("edge at %.2f found at %.2f", edge, got)
		}
		if plain := inward(prof, m.share, 0.5); math.Abs(plain-edge) < 0.5 {
			t.Errorf("the ratio alone finds %.2f at %.2f: the test shows nothing", edge, plain)
		}
	}
}

// A profile that shows one colour only has no edge.
func TestSmearedEdgeOfNothing(t *testing.T) {
	prof := make([]colour, 40)
	for i := range prof {
		prof[i] = colour{l: 80, b: 30}
	}
	m, _ := mixtureOf(colour{150, -45, 0}, colour{80, 30, 0})
	if got := m.smearedEdge(prof, 4); !math.IsNaN(got) {
		t.Errorf("an edge is found at %.2f", got)
	}
}
