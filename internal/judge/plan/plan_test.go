package plan

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/spatial/r3"
	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/solid"
	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/standard"
	"netagauge/internal/see/shape"
)

// The house standard is the built-in one: 75 to 85 by 32 to 38 mm; 10 to 15 g,
// white fish 10 to 12, tuna 12 to 15 (common practice, no source).
var nigiri = standard.Default()

func bar(t testing.TB, length, width, height float64) Block {
	return block(t, At(0, width, height), At(length, width, height))
}

func block(t testing.TB, stations ...Station) Block {
	t.Helper()
	b, err := NewBlock(stations)
	fatal.If(t, err)
	return b
}

func mustMake(t testing.TB, b Block, group string, o Options) Plan {
	t.Helper()
	p, err := Make(context.Background(), b, nigiri, group, o)
	fatal.If(t, err)
	return p
}

// The face's closed forms (common practice, no source): L = W / sin(theta), so
// that 45° on 56.57 mm gives 80 mm and 90° the block's own width; w = h / sin(phi),
// so that 90° on 20 mm gives 20 mm and 34.85° gives 35 mm.
func TestFaceOfPlainBar(t *testing.T) {
	for _, c := range []struct{ width, height, theta, phi, wantLength, wantWidth float64 }{
		{56.57, 20, 45, 34.85, 80, 35},
		{56.57, 20, 45, 90, 80, 20},
		{80, 20, 90, 34.85, 80, 35},
		{80, 20, 90, 90, 80, 20},
		{40, 25, 30, 45.58, 80, 35},
	} {
		b := bar(t, 300, c.width, c.height)
		cut := knife{c.theta, c.phi}.at(r3.Vec{X: 150, Z: c.height / 2})
		m, err := shape.Measure(solid.Outline(b.slab(cut, cut), closed))
		if err != nil || math.Abs(m.Length-c.wantLength) > 0.01 || math.Abs(m.Width-c.wantWidth) > 0.01 {
			t.Errorf("%g × %g mm cut at %g° and %g°: a face of %.3f × %.3f mm (%v), want %g × %g", c.width, c.height, c.theta, c.phi, m.Length, m.Width, err, c.wantLength, c.wantWidth)
		}
	}
}

// Blocks of the trade: at least so many slices, and none with a fault by check's
// own rules. The numbers were set before this planner was written, from cuts at
// equal weight from the very end (our own trial, no source).
func TestBlocksOfTheTrade(t *testing.T) {
	for _, c := range []struct {
		name, group string
		want        int
		stations    []Station
	}{
		{"yellowtail", "general", 19, []Station{At(0, 56, 20), At(240, 56, 20)}},
		{"tuna", "tuna", 24, []Station{At(0, 70, 25), At(200, 70, 25)}},
		{"flounder", "white", 6, []Station{At(0, 50, 12), At(160, 50, 12)}},
		{"mackerel", "general", 2, []Station{At(0, 30, 12), At(150, 30, 12)}},
		{"sea bream", "white", 4, []Station{At(0, 25, 8), At(150, 55, 18)}},
		{"82 mm wide", "general", 12, []Station{At(0, 82, 20), At(100, 82, 20)}},
		{"37 mm high", "general", 12, []Station{At(0, 70, 37), At(100, 70, 37)}},
		{"loin", "general", 30, []Station{At(0, 45, 18), At(300, 75, 30)}},
		{"belly", "general", 12, []Station{Sloping(0, 70, 4, 13, 22), Sloping(240, 70, 4, 13, 22)}},
		{"temmi", "general", 5, []Station{Sloping(0, 50, 0, 15, 30), Sloping(200, 50, 0, 15, 30)}},
		{"squid sheet", "stiff", 8, []Station{At(0, 80, 7), At(150, 80, 7)}},
	} {
		p := mustMake(t, block(t, c.stations...), c.group, DefaultOptions())
		t.Logf("%s: %d slices, %d sure, %.0f %% served", c.name, len(p.Slices), p.Sure(), p.Yield)
		if len(p.Slices) < c.want {
			t.Errorf("%s: %d slices, want %d at least", c.name, len(p.Slices), c.want)
		}
		for _, s := range p.Slices {
			judged(t, c.name, s, c.group)
		}
	}
}

// judged holds a slice against the standard as check does.
func judged(t *testing.T, name string, s Slice, group string) {
	t.Helper()
	p := s.Piece()
	nigiri.Judge(&p, group)
	if p.Verdict != piece.Pass || coach.Wedge(p) != nil {
		t.Errorf("%s, slice %d: %v %v; wedge %.2f and %.2f mm", name, s.Number, p.Verdict, p.Faults, s.WedgeAlong, s.WedgeAcross)
	}
}

// The coach, who knows one slice and the block's size, names the angles that the
// plan takes for a slice of that length, width and thickness. Parallel cuts
// through plain bars of usual sizes.
func TestCoachNamesThePlansAngles(t *testing.T) {
	rng := rand.New(rand.NewPCG(47, 43))
	for range 30 {
		wide, high := 45+31*rng.Float64(), 18+12*rng.Float64()
		o := DefaultOptions()
		o.Turn = 0
		p := mustMake(t, bar(t, 160, wide, high), "general", o)
		s := p.Slices[len(p.Slices)/2]
		theta, okT := coach.Angle(s.Length, coach.EndWall(s.Thickness, s.Phi), wide)
		phi, okP := coach.Angle(s.Width, s.Thickness, high)
		if !okT || !okP || math.Abs(theta-s.Theta) > 0.5 || math.Abs(phi-s.Phi) > 0.5 {
			t.Errorf("%g × %g mm: the coach says %.2f° and %.2f°, the plan %.2f° and %.2f°, for slices %.2f mm thick", wide, high, theta, phi, s.Theta, s.Phi, s.Thickness)
		}
	}
}

// Slices and offcuts are the block, and no two cuts cross within it.
func TestVolumesAddUp(t *testing.T) {
	rng := rand.New(rand.NewPCG(50, 7))
	for i := range 20 {
		b := block(t, randomBlock(rng)...)
		o := DefaultOptions()
		o.Hand, o.Tail = []Side{Left, Right}[i%2], []Side{Left, Right}[i/2%2]
		o.Turn = []float64{0, 1, 5}[i%3]
		p, err := Make(context.Background(), b, nigiri, "general", o)
		if errors.Is(err, ErrNoSlice) {
			continue
		}
		fatal.If(t, err)
		sum := 0.0
		for _, c := range p.Offcuts {
			sum += c.Weight
		}
		for _, s := range p.Slices {
			sum += s.Weight
			if p.block.crossed(p.planes[s.Number-1], p.planes[s.Number]) {
				t.Errorf("block %v: the cuts of slice %d cross", b.stations, s.Number)
			}
		}
		if sum > p.Block*(1+1e-9) || sum < p.Block-crumb*float64(len(p.Cuts)+1) {
			t.Errorf("block %v: slices and offcuts are %.3f g, the block %.3f", b.stations, sum, p.Block)
		}
	}
}

// randomBlock is a bar, a loin, a belly, a triangular strip or a sheet.
func randomBlock(rng *rand.Rand) []Station {
	between := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
	length := between(140, 300)
	switch rng.IntN(5) {
	case 0:
		w, h := between(35, 80), between(14, 34)
		return []Station{At(0, w, h), At(length, w, h)}
	case 1:
		out := []Station{At(0, between(38, 60), between(14, 22))}
		n := 1 + rng.IntN(4)
		for i := 1; i <= n; i++ {
			last := out[len(out)-1]
			s := At(length*float64(i)/float64(n), min(last.Width()+between(-6, 10), 80), min(max(last.Height+between(-2, 4), 12), 34))
			shift := between(-3, 3)
			s.Near += shift
			s.Far += shift
			out = append(out, s)
		}
		return out
	case 2:
		w, lo, hi := between(50, 80), between(3, 12), between(16, 30)
		return []Station{Sloping(0, w, lo, between(lo, hi), hi), Sloping(length, w+between(-5, 5), lo, between(lo, hi), hi)}
	case 3:
		w, h := between(40, 60), between(22, 34)
		return []Station{Sloping(0, w, h, h/2, 0), Sloping(length, w, h, h/2, 0)}
	}
	w, h := between(60, 84), between(7, 12)
	return []Station{At(0, w, h), At(length, w, h)}
}

// Mirroring hand and tail mirrors the board and changes no number.
func TestMirror(t *testing.T) {
	b := block(t, At(0, 40, 16), At(250, 70, 26))
	o := DefaultOptions()
	mirrored := o
	mirrored.Hand, mirrored.Tail = Left, Right
	a, m := mustMake(t, b, "general", o), mustMake(t, b, "general", mirrored)
	if len(a.Slices) != len(m.Slices) || a.Yield != m.Yield {
		t.Errorf("right hand, tail left: %d slices, %.2f %%; left hand, tail right: %d, %.2f %%", len(a.Slices), a.Yield, len(m.Slices), m.Yield)
	}
}

// A tail tip is an offcut at the tail and never a slice; a block from the middle
// of the fish has none.
func TestTailTip(t *testing.T) {
	for _, c := range []struct {
		tail  Side
		tip   bool
		start string
	}{{Left, true, "tail"}, {Right, true, "head"}, {Left, false, "tail"}} {
		o := DefaultOptions()
		o.Tail, o.TailTip = c.tail, c.tip
		p := mustMake(t, bar(t, 240, 56, 20), "general", o)
		tips := 0
		for _, cut := range p.Offcuts {
			if cut.Use == TailTip {
				tips++
				if cut.Where != "tail" {
					t.Errorf("the tip lies at the %s", cut.Where)
				}
			}
		}
		if p.Start != c.start || (tips == 1) != c.tip {
			t.Errorf("tail %s: start at the %s, %d tips", c.tail, p.Start, tips)
		}
	}
}

// A plan written as JSON and read back is the same plan, drawings and all.
func TestJSONRoundTrip(t *testing.T) {
	for _, tail := range []Side{Left, Right} {
		o := DefaultOptions()
		o.Tail = tail
		p := mustMake(t, block(t, At(0, 42, 16), At(250, 62, 22)), "general", o)
		data, err := json.Marshal(p)
		fatal.If(t, err)
		var q Plan
		fatal.If(t, json.Unmarshal(data, &q))
		for i := range p.Cuts {
			a, b := p.planes[i], q.planes[i]
			if math.Abs(a.D-b.D) > 1e-6 || r3.Norm(r3.Sub(a.N, b.N)) > 1e-9 {
				t.Errorf("cut %d: %v became %v", i, a, b)
			}
		}
		if !reflect.DeepEqual(p.BlockFromStart().Stations(), q.BlockFromStart().Stations()) {
			t.Error("the block changed")
		}
	}
}

// What a slice costs: 40 a kg on a block of 284 g with 22 served is 0.516 each. A
// bar 20 mm high gives a face 20 / sin 40° wide, at 39° by sin 40° / sin 39° - 1 or
// 2.14 % more: of 12 g that is 0.257 g.
func TestCost(t *testing.T) {
	p := Plan{Price: 40, Block: 284, Served: 230, Slices: make([]Slice, 22)}
	for i := range p.Slices {
		p.Slices[i] = Slice{Phi: 40, Weight: 12}
	}
	if c := p.Cost(); !scalar.EqualWithinAbs(c.Slice, 0.5164, 1e-4) || !scalar.EqualWithinAbs(c.Trim, 0.0982, 1e-4) || c.HalfGram != 0.02 || !scalar.EqualWithinAbs(c.Degree, 0.04*0.257, 1e-5) {
		t.Errorf("cost %+v", c)
	}
}

// A triangular block gives most with its low side near; told the other way round
// it is said to do better turned, by just what it serves when it is turned.
func TestTurnedEndForEnd(t *testing.T) {
	o := DefaultOptions()
	low := mustMake(t, block(t, Sloping(0, 50, 0, 15, 30), Sloping(200, 50, 0, 15, 30)), "general", o)
	if low.Turned != 0 {
		t.Errorf("%d slices, and turned %d", len(low.Slices), low.Turned)
	}
	o.Tail = Right
	high := mustMake(t, block(t, Sloping(0, 50, 30, 15, 0), Sloping(200, 50, 30, 15, 0)), "general", o)
	if high.Turned != len(low.Slices) || high.Turned <= len(high.Slices) {
		t.Errorf("%d slices, and turned %d; with its low side near it gives %d", len(high.Slices), high.Turned, len(low.Slices))
	}
}

// Slices of 12 g are no lighter than that, and so many fewer.
func TestWantedWeight(t *testing.T) {
	o := DefaultOptions()
	o.Weight = 12
	p := mustMake(t, bar(t, 240, 56, 20), "general", o)
	for _, s := range p.Slices {
		if s.Weight < 12 || s.Weight > 13.5 {
			t.Errorf("slice %d has %.2f g", s.Number, s.Weight)
		}
	}
	if n := len(p.Slices); n < 16 || n > 20 { // 282 g, of which about 85 % are served
		t.Errorf("%d slices", n)
	}
	o.Weight = 16
	if _, err := Make(context.Background(), bar(t, 240, 56, 20), nigiri, "general", o); err == nil {
		t.Error("slices of 16 g were planned; the standard's most is 15")
	}
}

// A tail end larger than the head's is told, whichever end is cut first.
func TestTailIsLarger(t *testing.T) {
	for _, tail := range []Side{Left, Right} {
		o := DefaultOptions()
		o.Tail = tail
		if p := mustMake(t, block(t, At(0, 70, 24), At(240, 56, 20)), "general", o); !p.TailIsLarger() {
			t.Errorf("tail %s: a block that tapers to its head is not asked about", tail)
		}
		if p := mustMake(t, block(t, At(0, 56, 20), At(240, 56, 20)), "general", o); p.TailIsLarger() {
			t.Errorf("tail %s: a bar is asked about", tail)
		}
	}
}

func TestWrongBlocks(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name     string
		stations []Station
		want     string
	}{
		{"one station", []Station{At(0, 50, 20)}, "two stations"},
		{"not in order", []Station{At(0, 50, 20), At(120, 50, 20), At(90, 50, 20)}, "not beyond station 2"},
		{"same place twice", []Station{At(0, 50, 20), At(0, 50, 20)}, "not beyond"},
		{"negative width", []Station{At(0, -50, 20), At(200, 50, 20)}, "wide cannot be"},
		{"no height", []Station{At(0, 50, 0), At(200, 50, 20)}, "high cannot be"},
		{"a negative side", []Station{Sloping(0, 50, -1, 10, 20), At(200, 50, 20)}, "high cannot be"},
		{"NaN", []Station{At(0, 50, nan), At(200, 50, 20)}, "not a number"},
		{"infinite", []Station{At(0, 50, 20), At(math.Inf(1), 50, 20)}, "not a number"},
		{"metres", []Station{At(0, 50, 20), At(9000, 50, 20)}, "long cannot be"},
		{"too wide", []Station{At(0, 92, 20), At(200, 92, 20)}, "Trim or split it lengthwise"},
		{"too high", []Station{At(0, 50, 41), At(200, 50, 41)}, "to less height"},
		{"too narrow", []Station{At(0, 12, 20), At(200, 15, 20)}, "too small"},
		{"too short", []Station{At(0, 55, 20), At(40, 55, 20)}, "too small"},
		{"a thin triangle", []Station{Sloping(0, 30, 0, 4, 8), Sloping(150, 30, 0, 4, 8)}, "triangles"},
		{"a mountain", []Station{At(0, 380, 380), At(2000, 380, 380)}, "check the sizes"},
	} {
		b, err := NewBlock(c.stations)
		if err == nil {
			_, err = Make(context.Background(), b, nigiri, "general", DefaultOptions())
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one that says %q", c.name, err, c.want)
		}
	}
}

func TestBadOptions(t *testing.T) {
	for name, change := range map[string]func(*Options){
		"density 0":   func(o *Options) { o.Density = 0 },
		"density NaN": func(o *Options) { o.Density = math.NaN() },
		"hand":        func(o *Options) { o.Hand = "both" },
		"tail":        func(o *Options) { o.Tail = "" },
		"turn":        func(o *Options) { o.Turn = -1 },
		"stack":       func(o *Options) { o.Stack = 0 },
		"scatter":     func(o *Options) { o.Scatter.Tray = math.NaN() },
		"weight":      func(o *Options) { o.Weight = math.NaN() },
		"price":       func(o *Options) { o.Price = math.Inf(1) },
	} {
		o := DefaultOptions()
		change(&o)
		if _, err := Make(context.Background(), bar(t, 240, 56, 20), nigiri, "general", o); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestMakeStopsWhenTold(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Make(ctx, bar(t, 240, 56, 20), nigiri, "general", DefaultOptions()); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want the context's", err)
	}
}
