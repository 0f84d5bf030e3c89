package plan

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"pgregory.net/rapid"

	"netagauge/internal/judge/coach"
	"netagauge/internal/see/shape"
)

// nigiri is a target as common practice has it (no source): 80 x 35 mm, 12 g.
var nigiri = coach.Target{LengthLow: 75, LengthAim: 80, LengthHigh: 85, WidthLow: 32, WidthAim: 35, WidthHigh: 38, WeightLow: 10, WeightAim: 12, WeightHigh: 15}

func bar(t testing.TB, length, width, height float64) Block {
	return block(t, At(0, width, height), At(length, width, height))
}

func block(t testing.TB, stations ...Station) Block {
	t.Helper()
	b, err := NewBlock(stations)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func mustMake(t testing.TB, b Block, o Options) Plan {
	t.Helper()
	p, err := Make(context.Background(), b, nigiri, o)
	if err != nil {
		t.Fatal(err)
	}
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
		length, width := b.face(newPlane(c.theta, c.phi, axisPoint(b, 150))).size()
		if math.Abs(length-c.wantLength) > 0.01 || math.Abs(width-c.wantWidth) > 0.01 {
			t.Errorf("%g × %g mm cut at %g° and %g°: a face of %.3f × %.3f mm, want %g × %g", c.width, c.height, c.theta, c.phi, length, width, c.wantLength, c.wantWidth)
		}
	}
}

// A slice of a plain bar lies h / sin(phi) + t / tan(phi) wide, the second term
// its leaning wall (common practice, no source). Its end walls lean as well,
// askew, and make it longer than its face by t sin(phi) / tan(theta): worked
// out by hand from the six corners of the outline. The pitch is
// t / (sin theta sin phi), the weight density · face · t.
func TestPlainBar(t *testing.T) {
	const wide, high = 56.57, 20.0
	p := mustMake(t, bar(t, 240, wide, high), DefaultOptions())
	if len(p.Slices) < 10 {
		t.Fatalf("%d slices from a bar of 285 g, want 10 at least", len(p.Slices))
	}
	for _, s := range p.Slices {
		theta, phi := s.Theta*math.Pi/180, s.Phi*math.Pi/180
		thick := 12 / (1.05e-3 * wide / math.Sin(theta) * high / math.Sin(phi))
		for _, m := range []struct {
			name            string
			got, want, near float64
		}{
			{"length", s.Length, 80, 0.01}, {"width", s.Width, 35, 0.01},
			{"length by the closed form", wide/math.Sin(theta) + thick*math.Sin(phi)/math.Tan(theta), 80, 0.01},
			{"width by the closed form", high/math.Sin(phi) + thick/math.Tan(phi), 35, 0.01},
			{"face", s.FaceArea, wide / math.Sin(theta) * high / math.Sin(phi), 0.01},
			{"weight", s.Weight, 12, 1e-6}, {"thickness", s.Thickness, thick, 0.001},
			{"least thickness", s.ThicknessLeast, thick, 0.001},
			{"pitch", s.Pitch, coach.Pitch(thick, s.Theta, s.Phi), 0.001},
		} {
			if !scalar.EqualWithinAbs(m.got, m.want, m.near) {
				t.Errorf("slice %d: %s %.4f, want %.4f", s.Number, m.name, m.got, m.want)
			}
		}
	}
	// The rule that a photographed slice is measured by gives the same size.
	lying := shape.Outline(slices.Concat(p.block.outline(p.planes[0], p.planes[1])...)).Hull()
	if m, err := shape.Measure(lying); err != nil || math.Abs(m.Length-80) > 0.2 || math.Abs(m.Width-35) > 0.2 {
		t.Errorf("slice 1 lies %.2f × %.2f mm by shape.Measure (%v), want 80 × 35", m.Length, m.Width, err)
	}
	if !p.Slices[0].Apart || p.Slices[1].Apart {
		t.Error("the tail tip gives one slice to set apart, the first")
	}
}

// The coach, who knows one slice and the block's size, advises the angles that the
// plan takes, for slices of the plan's thickness. Plain bars of usual sizes: of a
// slighter one the walls are so broad that the outline's chords follow no closed
// form, and the plan looks at the outline.
func TestCoachAdvisesThePlansAngles(t *testing.T) {
	type size struct{ wide, high float64 }
	sizes := []size{{45, 18}, {56.6, 20}, {76, 20}, {70, 30}}
	for rng := rand.New(rand.NewPCG(47, 43)); len(sizes) < 60; {
		sizes = append(sizes, size{45 + 31*rng.Float64(), 18 + 12*rng.Float64()})
	}
	for _, c := range sizes {
		p := mustMake(t, bar(t, 160, c.wide, c.high), DefaultOptions())
		s := p.Slices[1]
		theta, okT := coach.Angle(nigiri.LengthAim, coach.EndWall(s.Thickness, s.Phi), c.wide)
		phi, okP := coach.Angle(nigiri.WidthAim, s.Thickness, c.high)
		if !okT || !okP || math.Abs(theta-s.Theta) > 0.5 || math.Abs(phi-s.Phi) > 0.5 {
			t.Errorf("%g × %g mm: the coach says %.2f° and %.2f°, the plan %.2f° and %.2f°, for slices %.2f mm thick", c.wide, c.high, theta, phi, s.Theta, s.Phi, s.Thickness)
		}
	}
}

// randomBlock tapers and is no higher or wider than the target allows.
func randomBlock(rng *rand.Rand) []Station {
	between := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
	length := between(180, 300)
	out := []Station{At(0, between(38, 60), between(14, 22))}
	n := 1 + rng.IntN(4)
	for i := 1; i <= n; i++ {
		last := out[len(out)-1]
		s := At(length*float64(i)/float64(n), min(last.Width()+between(-6, 10), 78), min(max(last.Height+between(-2, 4), 12), 32))
		shift := between(-3, 3)
		s.Near += shift
		s.Far += shift
		out = append(out, s)
	}
	return out
}

// Each slice of 50 random blocks agrees with the solid cut by the independent
// clipper: the outline's length and width within 0.2 mm, and the face's, the
// weight within 1 %.
func TestAgreesWithSolidCut(t *testing.T) {
	const sizeTol, weightTol = 0.2, 0.01
	rng := rand.New(rand.NewPCG(50, 4))
	var worstSize, worstFace, worstWeight float64
	var count, on int
	for i := range 50 {
		stations := randomBlock(rng)
		o := DefaultOptions()
		if i%2 == 1 {
			o.Hand = Left
		}
		p := mustMake(t, block(t, stations...), o)
		solids := polyhedra(p.block.Stations())
		for k, s := range p.Slices {
			first, second := newBlade(p.Cuts[k], p.block), newBlade(p.Cuts[k+1], p.block)
			volume, face, skin := between(solids, first, second)
			length, width := measure(skin, second)
			faceLength, faceWidth := measure(face, second)
			ours, ourWidth := p.block.face(p.planes[k+1]).size()
			dSize := max(math.Abs(length-s.Length), math.Abs(width-s.Width))
			dFace := max(math.Abs(faceLength-ours), math.Abs(faceWidth-ourWidth))
			dWeight := math.Abs(volume*1.05e-3-s.Weight) / s.Weight
			if !(dSize <= sizeTol && dFace <= sizeTol && dWeight <= weightTol) {
				t.Errorf("block %d %v\nslice %d is planned %.2f × %.2f mm, its face %.2f × %.2f, %.3f g; the solid gives %.2f × %.2f mm, %.2f × %.2f, %.3f g",
					i, stations, s.Number, s.Length, s.Width, ours, ourWidth, s.Weight, length, width, faceLength, faceWidth, volume*1.05e-3)
			}
			worstSize, worstFace, worstWeight = max(worstSize, dSize), max(worstFace, dFace), max(worstWeight, dWeight)
			count++
			if len(s.Off) == 0 {
				on++
			}
		}
	}
	t.Logf("%d slices, %d on the target: worst outline %.4f mm, worst face %.4f mm, worst weight %.6f %%", count, on, worstSize, worstFace, 100*worstWeight)
}

// Slices and both ends are the block, and no two cuts cross within it.
func TestVolumesAddUp(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "seed"), 7))
		b, err := NewBlock(randomBlock(rng))
		if err != nil {
			rt.Fatal(err)
		}
		o := DefaultOptions()
		o.Hand = rapid.SampledFrom([]Side{Left, Right}).Draw(rt, "hand")
		o.Tail = rapid.SampledFrom([]Side{Left, Right}).Draw(rt, "tail")
		o.Turn = rapid.Float64Range(0, 5).Draw(rt, "turn")
		p, err := Make(context.Background(), b, nigiri, o)
		if err != nil {
			rt.Fatal(err)
		}
		sum := p.StartEnd.Volume + p.FinishEnd.Volume
		for _, s := range p.Slices {
			sum += s.Volume
			if !(s.ThicknessLeast > 0) {
				rt.Fatalf("slice %d is %.2f mm thick at its thin corner: two cuts cross", s.Number, s.ThicknessLeast)
			}
		}
		var solid float64
		for _, part := range polyhedra(b.Stations()) {
			solid += part.volume()
		}
		if !scalar.EqualWithinRel(sum, solid, 1e-9) || !scalar.EqualWithinRel(p.Block.Volume, solid, 1e-9) {
			rt.Fatalf("slices and ends are %.3f mm³, planned block %.3f, the solid %.3f", sum, p.Block.Volume, solid)
		}
		if p.StartEnd.Volume < 0 || p.FinishEnd.Volume < 0 {
			rt.Fatalf("an end has a negative volume: %v, %v", p.StartEnd, p.FinishEnd)
		}
	})
}

// Mirroring hand and tail mirrors the board and changes no number.
func TestMirror(t *testing.T) {
	b := block(t, At(0, 40, 16), At(250, 70, 26))
	o := DefaultOptions()
	mirrored := o
	mirrored.Hand, mirrored.Tail = Left, Right
	a, m := mustMake(t, b, o), mustMake(t, b, mirrored)
	if len(a.Slices) != len(m.Slices) || a.Yield != m.Yield {
		t.Errorf("right hand, tail left: %d slices, %.2f %%; left hand, tail right: %d, %.2f %%", len(a.Slices), a.Yield, len(m.Slices), m.Yield)
	}
}

func TestTailAtTheFinish(t *testing.T) {
	o := DefaultOptions()
	o.Tail = Right
	p := mustMake(t, bar(t, 240, 56, 20), o)
	if p.Start != "head" || p.Slices[0].Apart || !p.Slices[len(p.Slices)-1].Apart {
		t.Errorf("start %q, apart %v … %v; want the head and the last slice apart", p.Start, p.Slices[0].Apart, p.Slices[len(p.Slices)-1].Apart)
	}
}

// The last slice that fits is taken: another would not leave the block whole.
func TestNothingWhollyUsableIsLeft(t *testing.T) {
	b := bar(t, 240, 56.57, 20)
	p := mustMake(t, b, DefaultOptions())
	last := p.Cuts[len(p.Cuts)-1]
	if room := b.Length() - last.TopNear; room > p.Slices[0].Pitch {
		t.Errorf("%.1f mm are left beyond the last cut, a slice takes %.1f", room, p.Slices[0].Pitch)
	}
	if first := p.Cuts[0].BoardFar; first > 0.5 {
		t.Errorf("the first cut starts %.2f mm from the end, want within 0.5", first)
	}
}

// The only place that gives the size lies so near the end that no slice fits
// beyond it; slices a little off the size fit before it.
func TestSizeOnlyNearTheEnd(t *testing.T) {
	b := block(t, Station{0, -19.06, 19.06, 21.63}, Station{67.1, -13.48, 19.10, 21.35}, Station{134.19, -16.00, 12.52, 20.05}, Station{201.29, -19.53, 16.31, 20.76})
	o := DefaultOptions()
	o.Hand = Left
	if p := mustMake(t, b, o); len(p.Slices) == 0 {
		t.Error("no slices")
	}
}

func TestImpossibleBlocks(t *testing.T) {
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
		{"NaN", []Station{At(0, 50, nan), At(200, 50, 20)}, "not a number"},
		{"infinite", []Station{At(0, 50, 20), At(math.Inf(1), 50, 20)}, "not a number"},
		{"metres", []Station{At(0, 50, 20), At(9000, 50, 20)}, "long cannot be"},
		{"too wide", []Station{At(0, 50, 20), At(200, 92, 20)}, "trim or split"},
		{"too high", []Station{At(0, 50, 20), At(200, 50, 41)}, "trim or split"},
		{"too narrow", []Station{At(0, 12, 20), At(200, 15, 20)}, "too small for one slice"},
		{"too short", []Station{At(0, 55, 20), At(60, 55, 20)}, "too small for one slice"},
	} {
		b, err := NewBlock(c.stations)
		if err == nil {
			_, err = Make(context.Background(), b, nigiri, DefaultOptions())
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one that says %q", c.name, err, c.want)
		}
	}
}

func TestBadOptionsAndTargets(t *testing.T) {
	b := bar(t, 240, 56, 20)
	for name, change := range map[string]func(*Options, *coach.Target){
		"density 0":        func(o *Options, _ *coach.Target) { o.Density = 0 },
		"density NaN":      func(o *Options, _ *coach.Target) { o.Density = math.NaN() },
		"hand":             func(o *Options, _ *coach.Target) { o.Hand = "both" },
		"tail":             func(o *Options, _ *coach.Target) { o.Tail = "" },
		"turn":             func(o *Options, _ *coach.Target) { o.Turn = -1 },
		"stack":            func(o *Options, _ *coach.Target) { o.Stack = 0 },
		"aim 0":            func(_ *Options, t *coach.Target) { t.WeightAim = 0 },
		"aim outside":      func(_ *Options, t *coach.Target) { t.LengthAim = 99 },
		"a mountain of 1g": func(_ *Options, t *coach.Target) { t.WeightLow, t.WeightAim = 0.1, 0.1 },
	} {
		o, target := DefaultOptions(), nigiri
		change(&o, &target)
		if _, err := Make(context.Background(), b, target, o); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestMakeStopsWhenTold(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Make(ctx, bar(t, 240, 56, 20), nigiri, DefaultOptions()); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want the context's", err)
	}
}
