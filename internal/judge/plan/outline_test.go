package plan

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"netagauge/internal/core/fatal"
)

// trapezoid is a block 240 mm long, 40 wide at the tail and 64 at the head, with
// its tail's middle at (60, 150), turned by deg from the mat's x (y down).
func trapezoid(deg float64) []r2.Vec {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	var out []r2.Vec
	for _, p := range []r2.Vec{{X: 0, Y: -20}, {X: 240, Y: -32}, {X: 240, Y: 32}, {X: 0, Y: 20}} {
		out = append(out, r2.Vec{X: 60 + p.X*cos - p.Y*sin, Y: 150 + p.X*sin + p.Y*cos})
	}
	return out
}

func TestFromOutline(t *testing.T) {
	for _, deg := range []float64{0, 12, 47, 90, -60, 180, 205} {
		tail := Left
		if c := math.Cos(deg * math.Pi / 180); c < -1e-9 {
			tail = Right
		}
		b, place, err := FromOutline(trapezoid(deg), []HeightAt{Even(0, 16), Even(240, 24)}, tail)
		if err != nil {
			t.Fatalf("%v°: %v", deg, err)
		}
		// A trapezoid prism whose height runs straight: (prismatoid formula)
		want := 240.0 / 6 * (40*16 + 4*52*20 + 64*24)
		if !scalar.EqualWithinRel(b.Volume(), want, 0.01) {
			t.Errorf("%v°: volume %.0f, want %.0f within 1 %%", deg, b.Volume(), want)
		}
		first, last := b.Section(0), b.Section(b.Length())
		if math.Abs(first.Width()-40) > 0.5 || math.Abs(last.Width()-64) > 0.5 {
			t.Errorf("%v°: width %.1f at the tail and %.1f at the head", deg, first.Width(), last.Width())
		}
		// The middle of the block lies at the outline's middle.
		mid := b.Section(b.Length() / 2)
		at := place.Mat(r3.Vec{X: mid.X, Y: (mid.Near + mid.Far) / 2})
		sin, cos := math.Sincos(deg * math.Pi / 180)
		if d := math.Hypot(at.X-60-120*cos, at.Y-150-120*sin); d > 0.1 {
			t.Errorf("%v°: the middle is at (%.1f, %.1f), %.1f mm off", deg, at.X, at.Y, d)
		}
		if tail == Left && deg != 90 && place.Away.Y >= 0 {
			t.Errorf("%v°: away from the cook points down the photo", deg)
		}
	}
}

func TestFromOutlineRefuses(t *testing.T) {
	ok := trapezoid(0)
	for _, c := range []struct {
		name    string
		outline []r2.Vec
		heights []HeightAt
		want    string
	}{
		{"two points", ok[:2], []HeightAt{Even(0, 20)}, "too small"},
		{"a line", []r2.Vec{{X: 0}, {X: 50}, {X: 100}}, []HeightAt{Even(0, 20)}, "too small"},
		{"all one point", []r2.Vec{{X: 5}, {X: 5}, {X: 5}}, []HeightAt{Even(0, 20)}, "too small"},
		{"NaN", []r2.Vec{{X: math.NaN()}, {X: 1}, {X: 2}}, []HeightAt{Even(0, 20)}, "not a number"},
		{"no height", ok, nil, "enter it"},
		{"heights out of order", ok, []HeightAt{Even(100, 20), Even(50, 20)}, "in order"},
		{"height NaN", ok, []HeightAt{Even(0, math.NaN())}, "not a number"},
		{"height negative", ok, []HeightAt{Even(0, -3)}, "high cannot be"},
	} {
		_, _, err := FromOutline(c.outline, c.heights, Left)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one that says %q", c.name, err, c.want)
		}
	}
}

func TestParse(t *testing.T) {
	got, err := ParseStations("0:42x16, 120:58x22")
	if err != nil || len(got) != 2 || got[1].X != 120 || got[1].Width() != 58 || got[1].Height != 22 {
		t.Errorf("stations %v, %v", got, err)
	}
	got, err = ParseStations("0:70x4/22,240:70x4/10/22")
	if err != nil || got[0] != Sloping(0, 70, 4, 13, 22) || got[1] != Sloping(240, 70, 4, 10, 22) {
		t.Errorf("sloping stations %v, %v", got, err)
	}
	for _, bad := range []string{"", "0", "0:42x1/2/3/4", "0:42x1/", "0:42", "a:1x2", "0:42x16;120:58x22", "0:42x16,"} {
		if _, err := ParseStations(bad); err == nil {
			t.Errorf("ParseStations(%q): no error", bad)
		}
	}
	hs, err := ParseHeights("0:16,120:22")
	if err != nil || len(hs) != 2 || hs[1] != Even(120, 22) {
		t.Errorf("heights %v, %v", hs, err)
	}
	if hs, err = ParseHeights("20"); err != nil || hs[0] != Even(0, 20) {
		t.Errorf("one height %v, %v", hs, err)
	}
}

// Whatever is typed, the answer is a plan whose volumes add up, or an error.
func FuzzStations(f *testing.F) {
	for _, s := range []string{"0:42x16,120:58x22,240:60x20", "0:50x20,200:50x20", "0:1e9x1,2:3x4", "-5:40x20,90:79x34", "0:70x4/13/22,240:66x0/30", "0:nanx20,1:2x3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		stations, err := ParseStations(s)
		if err != nil {
			return
		}
		b, err := NewBlock(stations)
		if err != nil {
			return
		}
		p, err := Make(t.Context(), b, nigiri, "general", DefaultOptions())
		if err != nil {
			return
		}
		sum := 0.0
		for _, c := range p.Offcuts {
			sum += c.Weight
		}
		for _, s := range p.Slices {
			sum += s.Weight
			if math.IsNaN(s.Length + s.Width + s.Thickness) {
				t.Errorf("slice %d has a size that is not a number: %+v", s.Number, s)
			}
		}
		if sum > p.Block*(1+1e-9) || sum < p.Block-crumb*float64(len(p.Cuts)+1) {
			t.Errorf("slices and offcuts are %v g, the block %v", sum, p.Block)
		}
	})
}

func FuzzOutline(f *testing.F) {
	f.Add(0.0, 0.0, 200.0, 5.0, 190.0, 60.0, 3.0, 55.0, 20.0)
	f.Add(10.0, 10.0, 10.0, 10.0, 10.0, 10.0, 10.0, 10.0, 1.0)
	f.Add(-79.0, 82.0, 200.0, 83.714, 190.0, 60.0, -45.0, 55.0, 13.0) // no place on it gives the size
	f.Fuzz(func(t *testing.T, x1, y1, x2, y2, x3, y3, x4, y4, h float64) {
		b, _, err := FromOutline([]r2.Vec{{X: x1, Y: y1}, {X: x2, Y: y2}, {X: x3, Y: y3}, {X: x4, Y: y4}}, []HeightAt{Even(0, h)}, Left)
		if err != nil {
			return
		}
		if v := b.Volume(); !(v > 0) {
			t.Errorf("a block of %v mm³", v)
		}
		if _, err := Make(t.Context(), b, nigiri, "general", DefaultOptions()); err != nil {
			return
		}
	})
}

// What is left out lies within a twentieth of a millimetre of the straight
// between what is kept, and both ends stay.
func TestThinned(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []Station
		for i := range rapid.IntRange(2, 60).Draw(t, "stations") {
			noise := rapid.Float64Range(-0.2, 0.2).Draw(t, "noise")
			all = append(all, Station{X: 4 * float64(i), Near: -20 + noise, Far: 20 + 0.1*float64(i*i)/4, NearHeight: 20, Height: 22 - 0.03*float64(i), FarHeight: 18 + noise})
		}
		kept, err := NewBlock(thinned(all))
		fatal.If(t, err)
		if kept.Length() != all[len(all)-1].X {
			t.Fatalf("a block of %g mm became %g", all[len(all)-1].X, kept.Length())
		}
		for _, s := range all {
			if k := kept.Section(s.X); max(math.Abs(k.Near-s.Near), math.Abs(k.Far-s.Far), math.Abs(k.Height-s.Height), math.Abs(k.FarHeight-s.FarHeight)) > straight+1e-9 {
				t.Fatalf("at %g mm the section is %+v, was %+v", s.X, k, s)
			}
		}
	})
}

// The mean of a section that falls from its ridge to both sides, by hand: 4, 13 and 22 mm
// lie on one slope, 13 on average; 10, 20 and 12 make two of 15 and 16; both together 14.25.
func TestMeanHeight(t *testing.T) {
	slope, ridge := HeightAt{0, 4, 13, 22}, HeightAt{100, 10, 20, 12}
	for want, heights := range map[float64][]HeightAt{13: {slope}, 15.5: {ridge}, 14.25: {slope, ridge}, 20: {Even(0, 20)}} {
		if got := MeanHeight(heights); math.Abs(got-want) > 1e-9 {
			t.Errorf("%+v: %g mm, want %g", heights, got, want)
		}
	}
}
