package plan

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"netagauge/internal/core/fatal"
)

var update = flag.Bool("update", false, "write the blocks for testdata/qhull.py")

// sawn is a block with some cuts of its plan.
type sawn struct {
	Stations []Station `json:"stations"`
	Cuts     []Cut     `json:"cuts"`
}

// 200 random blocks of five kinds, up to four neighbouring cuts of each one's
// plan, and what an independent solid says of the slices between
// (testdata/qhull.py: Qhull and shapely): length and width to 0.1 mm, weight to
// 1 %. Both take the median of 51 chords.
func TestIndependentSolid(t *testing.T) {
	if *update {
		writeSawn(t)
	}
	var blocks []sawn
	var want [][][3]float64 // length, width, volume
	readJSON(t, "testdata/blocks.json", &blocks)
	readJSON(t, "testdata/expected.json", &want)
	if len(blocks) != 200 || len(want) != 200 {
		t.Fatalf("%d blocks and %d answers, want 200", len(blocks), len(want))
	}
	h := house{nigiri, "general", 1, DefaultScatter(), false}
	var n int
	var worst [3]float64
	for i, s := range blocks {
		b := block(t, s.Stations...)
		for k := range want[i] {
			var ps [2]plane
			for j := range ps {
				c := s.Cuts[k+j]
				ps[j] = knife{c.Theta, c.Phi}.at(b.point(c.BoardNear, 0, false))
			}
			got, ok := h.slice(b, ps[0], ps[1])
			w := want[i][k]
			off := [3]float64{math.Abs(got.Length - w[0]), math.Abs(got.Width - w[1]), math.Abs(got.Volume-w[2]) / w[2]}
			if a, c := s.Cuts[k], s.Cuts[k+1]; max(math.Abs(a.Theta-c.Theta), math.Abs(a.Phi-c.Phi)) > DefaultOptions().Turn+1e-3 || w[2] < 9000 {
				off[0], off[1] = 0, 0 // the knife was held anew behind an offcut, which has no length
			} else {
				n++
			}
			if !ok || off[0] > 0.1 || off[1] > 0.1 || off[2] > 0.01 {
				t.Errorf("block %d %v, cut %d: %.2f × %.2f mm, %.1f mm³; the solid says %.2f × %.2f, %.1f", i, s.Stations, s.Cuts[k+1].Number, got.Length, got.Width, got.Volume, w[0], w[1], w[2])
			}
			for j := range worst {
				worst[j] = max(worst[j], off[j])
			}
		}
	}
	t.Logf("%d slices: worst length %.3f mm, width %.3f mm, volume %.4f %%", n, worst[0], worst[1], 100*worst[2])
}

func readJSON(t *testing.T, path string, into any) {
	t.Helper()
	data, err := os.ReadFile(path)
	fatal.If(t, err)
	fatal.If(t, json.Unmarshal(data, into))
}

// rounded to a ten thousandth: what is written is what is cut.
func rounded(blocks []sawn) []sawn {
	round := func(vs ...*float64) {
		for _, v := range vs {
			*v = math.Round(*v*1e4) / 1e4
		}
	}
	for _, b := range blocks {
		for i := range b.Stations {
			s := &b.Stations[i]
			round(&s.X, &s.Near, &s.Far, &s.NearHeight, &s.Height, &s.FarHeight)
		}
		for i := range b.Cuts {
			c := &b.Cuts[i]
			round(&c.Theta, &c.Phi, &c.TopNear, &c.TopFar, &c.BoardNear, &c.BoardFar)
		}
	}
	return blocks
}

// writeSawn keeps what a block of each kind is cut into, in turn.
func writeSawn(t *testing.T) {
	rng := rand.New(rand.NewPCG(200, 15))
	var out []sawn
	for len(out) < 200 {
		b, err := NewBlock(randomBlock(rng))
		fatal.If(t, err)
		p, err := Make(context.Background(), b, nigiri, "general", DefaultOptions())
		if errors.Is(err, ErrNoSlice) {
			continue
		}
		fatal.If(t, err)
		from := rng.IntN(max(len(p.Cuts)-3, 1))
		out = append(out, sawn{b.Stations(), p.Cuts[from:min(from+4, len(p.Cuts))]})
	}
	data, err := json.Marshal(rounded(out))
	fatal.If(t, err)
	fatal.If(t, os.WriteFile("testdata/blocks.json", data, 0o644))
}
