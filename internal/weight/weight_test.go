package weight

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Densities in kg/m³ at 0, 5 and 20 °C, worked from the USDA rows by hand with
// the equations of Choi and Okos; the bluefin row at 5 °C step by step:
// 97.50 / (68.09/997.10 + 23.33/1327.31 + 4.90/923.50 + 1.18/2422.40) = 1063.7.
func TestDensities(t *testing.T) {
	l := BuiltIn()
	for _, c := range []struct {
		name        string
		d0, d5, d20 float64
	}{
		{"bluefin-tuna", 1064.3, 1063.7, 1061.0},
		{"yellowfin-tuna", 1072.2, 1071.7, 1069.2},
		{"skipjack", 1066.8, 1066.3, 1063.9},
		{"salmon", 1046.8, 1046.1, 1043.0},
		{"wild-salmon", 1062.4, 1061.8, 1059.1},
		{"yellowtail", 1058.5, 1057.9, 1055.3},
		{"snapper", 1058.5, 1058.1, 1055.8},
		{"sea-bream", 1053.2, 1052.8, 1050.4},
		{"sea-bass", 1050.9, 1050.4, 1048.2},
		{"flounder", 1035.1, 1034.8, 1032.8},
		{"halibut", 1052.1, 1051.7, 1049.5},
		{"mackerel", 1044.1, 1043.3, 1040.3},
		{"jack-mackerel", 1053.9, 1053.3, 1050.5},
		{"squid", 1058.4, 1058.0, 1055.8},
		{"abalone", 1076.9, 1076.5, 1074.2},
		{"octopus", 1054.3, 1054.0, 1051.9},
		{"scallop", 1051.9, 1051.6, 1049.6},
		{"shrimp", 1057.4, 1057.0, 1054.8},
		{"shrimp-frozen", 1046.9, 1046.5, 1044.5},
		{"cod", 1050.1, 1049.8, 1047.6},
		{"eel", 1044.7, 1044.1, 1041.2},
		{"clam", 1061.0, 1060.6, 1058.5},
	} {
		s, err := l.Find(c.name)
		if err != nil {
			t.Fatal(err)
		}
		for _, at := range []struct{ t, want float64 }{{0, c.d0}, {5, c.d5}, {20, c.d20}} {
			d, err := s.Density(at.t)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(1000*d.Value-at.want) > 0.1 {
				t.Errorf("%s at %g °C: %.2f kg/m³, want %.1f", c.name, at.t, 1000*d.Value, at.want)
			}
		}
	}
}

// Measured flesh (thermalinfo.ru) must lie inside the model's interval: herring
// fillet of 2-3 % fat 1067 kg/m³ with 18 % protein and 1.5 % ash assumed.
func TestModelIntervalHoldsMeasuredHerring(t *testing.T) {
	d, err := Composition{Water: 78, Protein: 18, Fat: 2.5, Ash: 1.5}.Density(20)
	if err != nil {
		t.Fatal(err)
	}
	if diff := 1.067 - d.Value; math.Abs(diff) > 2*d.U {
		t.Errorf("model %.4f ± %.4f g/cm³ does not hold the measured 1.067", d.Value, 2*d.U)
	}
}

func TestFindSpecies(t *testing.T) {
	l := BuiltIn()
	for name, want := range map[string]string{"maguro": "bluefin-tuna", "TAI": "sea-bream", "Sea Bass": "sea-bass"} {
		if s, err := l.Find(name); err != nil || s.Name != want {
			t.Errorf("Find(%q) = %q, %v; want %q", name, s.Name, err, want)
		}
	}
	_, err := l.Find("salman")
	if err == nil || !strings.Contains(err.Error(), "salmon") {
		t.Errorf("Find(salman) offers no salmon: %v", err)
	}
}

func TestSpeciesFileErrors(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"unknown key": {"[[species]]\nname = \"x\"\ngroup = \"white\"\nwater = 80\nsalt = 1\n", "salt"},
		"twice":       {"[[species]]\nname = \"x\"\ngroup = \"white\"\nwater = 80\n[[species]]\nname = \"X\"\ngroup = \"white\"\nwater = 80\n", "twice"},
		"group":       {"[[species]]\nname = \"x\"\ngroup = \"blue\"\nwater = 80\n", "blue"},
		"negative":    {"[[species]]\nname = \"x\"\ngroup = \"white\"\nwater = -80\n", "impossible"},
		"incomplete":  {"[[species]]\nname = \"x\"\ngroup = \"white\"\nwater = 8\n", "not complete"},
		"not a file":  {"\x00\x01", "species file"},
	} {
		_, err := ParseSpecies(name, []byte(c.text))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v does not say %q", name, err, c.want)
		}
	}
}

func TestParseThickness(t *testing.T) {
	g, err := ParseThickness("1:4.2, 2:3.90")
	if err != nil {
		t.Fatal(err)
	}
	// GUM 4.3.7: rounded to 0.1 mm, so rectangular over ±0.05 mm.
	if x := g.Piece[1]; x.Value != 4.2 || math.Abs(x.U-0.05/math.Sqrt(3)) > 1e-12 {
		t.Errorf("piece 1 is %+v", x)
	}
	if un := g.Unknown([]int{2}); len(un) != 1 || un[0] != 1 {
		t.Errorf("unknown pieces %v, want [1]", un)
	}
	for _, bad := range []string{"", "NaN", "-4", "0", "0.2", "80", "inf", "1e1", "1:4,1:5", "0:4", "x:4", "1:", "1:4,", "4,1", "4.1mm"} {
		if g, err := ParseThickness(bad); err == nil {
			t.Errorf("ParseThickness(%q) = %+v, want an error", bad, g)
		}
	}
}

func TestEnteredDensity(t *testing.T) {
	for _, bad := range []float64{0, -1, 1050, math.NaN(), math.Inf(1)} {
		if _, err := EnteredDensity(bad); err == nil {
			t.Errorf("density %g is taken", bad)
		}
	}
}

// 23.8 cm² × 4.8 mm × 1.055 g/cm³ = 12.05 g; with relative u of 2, 10 and 1 %
// the expanded uncertainty is 2.5 g (GUM 5.1.6, worked by hand).
func TestWorkedWeight(t *testing.T) {
	w := Of(Face{2380, 47.6}, Thickness{Value: 4.8, U: 0.48}, Density{Value: 1.055, U: 0.01055})
	if math.Abs(w.Grams-12.05) > 0.005 || math.Abs(w.U-2.47) > 0.02 {
		t.Errorf("%.3f ± %.3f g, want 12.05 ± 2.47", w.Grams, w.U)
	}
	if w.Budget[0].Source != "thickness" {
		t.Errorf("budget starts with %q, want thickness", w.Budget[0].Source)
	}
}

func TestTrayWeightAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var faces []Face
		for range rapid.IntRange(1, 20).Draw(t, "n") {
			faces = append(faces, Face{Area: rapid.Float64Range(1500, 3500).Draw(t, "area"), U: 10})
		}
		grams := 0.0126 / 2.8 * float64(len(faces)) * 1000 * rapid.Float64Range(0.8, 1.2).Draw(t, "f")
		ws, err := Share(grams, faces, Density{Value: 1.05})
		if err != nil {
			t.Fatal(err)
		}
		var sum float64
		for _, w := range ws {
			sum += w.Grams
		}
		if math.Abs(sum-grams) > 1e-9*grams {
			t.Fatalf("shares add up to %g, scale says %g", sum, grams)
		}
	})
}

func TestImpossibleTrayWeight(t *testing.T) {
	for _, g := range []float64{0, -3, 1, 1e6, math.NaN()} {
		if _, err := Share(g, []Face{{2800, 20}}, Density{Value: 1.05}); err == nil {
			t.Errorf("%g g for one slice is taken", g)
		}
	}
}

// A laid knife at 45° leaves a strip as wide as the slice is thick.
func TestFaceOf(t *testing.T) {
	if f := FaceOf(3120, 10, 80, 4, 45); math.Abs(f.Area-2800) > 1e-9 {
		t.Errorf("face %.3f mm², want 2800", f.Area)
	}
	if f := FaceOf(2800, 10, 80, 4, 90); f.Area != 2800 {
		t.Errorf("upright knife changes the face to %.3f", f.Area)
	}
}

func FuzzParseThickness(f *testing.F) {
	for _, s := range []string{"4.1", "1:4.2,2:3.9", "1:", ":", "NaN"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		g, err := ParseThickness(s)
		if err != nil {
			return
		}
		for n := range g.Piece {
			if x, ok := g.Of(n); !ok || !(x.Value >= minThickness && x.Value <= maxThickness) || !(x.U > 0) {
				t.Errorf("%q gives piece %d %+v", s, n, x)
			}
		}
	})
}

func FuzzParseSpecies(f *testing.F) {
	f.Add([]byte("[[species]]\nname = \"x\"\ngroup = \"white\"\nwater = 80\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := ParseSpecies("fuzz", data)
		if err != nil && len(l.Species) > 0 {
			t.Error("an error comes with species")
		}
	})
}
