package plan

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/core/piece"
)

// Sure means sure: plans cut by hands that are off by up to the scatter told,
// evenly, each cut turned about its marks on the block's top, and judged as a
// check would without error. At least 95 % of the sure slices are good.
func TestSureSlicesStandAHand(t *testing.T) {
	rng := rand.New(rand.NewPCG(40, 15))
	var sure, stood, all, served int
	for _, stations := range [][]Station{
		{At(0, 56, 20), At(240, 56, 20)},
		{At(0, 70, 25), At(200, 70, 25)},
		{At(0, 45, 18), At(300, 75, 30)},
		{At(0, 42, 16), At(120, 56, 20), At(250, 62, 22)},
		{Sloping(0, 70, 4, 13, 22), Sloping(240, 70, 4, 13, 22)},
	} {
		p := mustMake(t, block(t, stations...), "general", DefaultOptions())
		h := house{nigiri, "general", p.Density, p.Scatter, false}
		for range 8 {
			tray := knife{p.Scatter.Tray * (2*rng.Float64() - 1), p.Scatter.Tray * (2*rng.Float64() - 1)}
			var cuts []plane
			for _, c := range p.planes {
				own := func() float64 { return p.Scatter.Cut * (2*rng.Float64() - 1) }
				k := knife{min(c.theta+tray.theta+own(), 90), min(c.phi+tray.phi+own(), 90)}
				cuts = append(cuts, k.at(p.block.topMiddle(c)))
			}
			for _, s := range p.Slices {
				got, ok := h.slice(p.block, cuts[s.Number-1], cuts[s.Number])
				q := got.Piece()
				nigiri.Judge(&q, "general")
				good := ok && q.Verdict == piece.Pass && len(got.Off) == 0
				all++
				if good {
					served++
				}
				if s.Sure {
					if sure++; good {
						stood++
					}
				}
			}
		}
	}
	t.Logf("%d of %d slices sure; good of the sure %d, of all %d", sure, all, stood, served)
	if float64(stood) < 0.95*float64(sure) {
		t.Errorf("%d of %d sure slices stood the hand, want 95 %%", stood, sure)
	}
	if float64(sure) < 0.8*float64(all) {
		t.Errorf("%d of %d slices are called sure, want 80 %%", sure, all)
	}
}

// topMiddle is half-way along the line that a cut draws on top of the block.
func (b Block) topMiddle(c plane) r3.Vec { return b.point(b.crossing(c, 0.5, true), 0.5, true) }
