package plan

import (
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// On small blocks the planner finds at least 95 % of the slices that an
// exhaustive search does: every way to hold the knife by 3°, every first cut and
// every next one by 1 mm, all cuts of a row parallel, no face smaller than half
// a slice. For a hand that does not
// scatter, so that nothing but the number counts.
func TestExhaustive(t *testing.T) {
	if os.Getenv("NETAGAUGE_LONG") == "" {
		t.Skip("takes minutes; set NETAGAUGE_LONG")
	}
	const blocks = 10
	rng := rand.New(rand.NewPCG(95, 15))
	var ours, all int
	for range blocks {
		stations := randomBlock(rng)
		length := stations[len(stations)-1].X
		for i := range stations {
			stations[i].X *= 90 / length
		}
		b := block(t, stations...)
		o := DefaultOptions()
		o.Scatter = Scatter{}
		n := 0
		p, err := Make(context.Background(), b, nigiri, "general", o)
		if err == nil {
			n = len(p.Slices)
		} else if !errors.Is(err, ErrNoSlice) {
			t.Fatal(err)
		}
		most := exhaustive(b)
		t.Logf("%v: %d slices, exhaustive %d", stations, n, most)
		ours, all = ours+n, all+most
	}
	if float64(ours) < 0.95*float64(all) {
		t.Errorf("%d slices in all, the exhaustive search finds %d", ours, all)
	}
}

func exhaustive(b Block) int {
	s := search{block: b, house: house{nigiri, "general", 1.05, Scatter{}, true}, weight: 10}
	most := 0
	for theta := minAngle; theta <= 90; theta += 3 {
		for phi := minAngle; phi <= 90; phi += 3 {
			most = max(most, s.row(knife{theta, phi}))
		}
	}
	return most
}

// row is the longest row of parallel cuts.
func (s search) row(k knife) int {
	from := s.block.crossing(k.at(r3.Vec{}), 0, false)
	lo, _ := s.block.body.Reach(k.at(r3.Vec{}).N)
	n := k.at(r3.Vec{}).N.X
	var cuts []plane
	var faces, before []float64
	for x := from + lo/n; x < s.block.Length()*2; x++ {
		c := k.at(r3.Vec{X: x})
		cuts = append(cuts, c)
		faces = append(faces, areaOf(s.block.slab(c, c)))
		before = append(before, s.block.massBefore(c).Volume)
	}
	if !s.near(cuts, before) {
		return 0
	}
	longest := make([]int, len(cuts))
	most := 0
	for i := len(cuts) - 1; i >= 0; i-- {
		for j := i + 1; j < len(cuts) && before[j]-before[i] <= s.volume(15); j++ {
			if before[j]-before[i] < s.volume(10) || longest[j]+1 <= longest[i] || faces[i] < 0.5*75*32 || faces[i] < fill*faces[j] {
				continue
			}
			if slice, ok := s.house.slice(s.block, cuts[i], cuts[j]); ok && len(slice.Off) == 0 {
				longest[i] = longest[j] + 1
			}
		}
		most = max(most, longest[i])
	}
	return most
}

// near reports whether some slice, looked at every 6 mm, comes within 8 mm of the
// bands: a knife far from them needs no closer look.
func (s search) near(cuts []plane, before []float64) bool {
	for i := 0; i < len(cuts); i += 6 {
		for _, grams := range []float64{10, 15} {
			j := i
			for j < len(cuts)-1 && before[j]-before[i] < s.volume(grams) {
				j++
			}
			t, ok := s.house.slice(s.block, cuts[i], cuts[j])
			if ok && t.Weight < 20 && inside(t.Length, 67, 93) && inside(t.Width, 24, 46) {
				return true
			}
		}
	}
	return false
}
