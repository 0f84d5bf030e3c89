package standard

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
)

// Common practice, no source: slice 80 x 35 mm; 6-9 g stiff, 10-12 g white,
// 12-15 g tuna, about 12 g preferred. Rice 65 x 30 mm, corner 14, floor 0.97:
// our setting, no source.
func TestDefaultIsCommonPractice(t *testing.T) {
	s := Default()
	if s.Length != (Limits{75, 80, 85}) || s.Width != (Limits{32, 35, 38}) {
		t.Errorf("length %v, width %v", s.Length, s.Width)
	}
	want := Bands{Stiff: Limits{6, 7.5, 9}, White: Limits{10, 11, 12}, Tuna: Limits{12, 13.5, 15}, General: Limits{10, 12, 15}}
	if s.Weight != want {
		t.Errorf("weight %v, want %v", s.Weight, want)
	}
	if s.Rice != (Rice{Length: 65, Width: 30, Corner: 14, CoverFloor: 0.97}) {
		t.Errorf("rice %v", s.Rice)
	}
	if s.Practice || s.KobaRequired || s.Verdict != (Rule{GuardRejection, "pass"}) {
		t.Errorf("practice %v, koba %v, verdict %v", s.Practice, s.KobaRequired, s.Verdict)
	}
}

// Practice slices are slightly larger: common practice, no source.
func TestPracticeIsSlightlyLarger(t *testing.T) {
	s, p := Default(), Practice()
	if !p.Practice || p.Name == s.Name {
		t.Errorf("practice standard %q is not marked as such", p.Name)
	}
	pairs := map[string][2]Limits{"length": {s.Length, p.Length}, "width": {s.Width, p.Width}}
	for _, g := range groups {
		pairs["weight "+g] = [2]Limits{s.WeightFor(g), p.WeightFor(g)}
	}
	for name, v := range pairs {
		if v[1].Aim <= v[0].Aim || v[1].Aim > 1.2*v[0].Aim || v[1].Low <= v[0].Low || v[1].High <= v[0].High {
			t.Errorf("%s: %v for service, %v for practice", name, v[0], v[1])
		}
	}
	if p.Rice != s.Rice || p.Grading != s.Grading {
		t.Error("practice changes more than sizes")
	}
}

var groups = []string{"stiff", "white", "tuna", "general"}

func TestParseKeepsWhatIsLeftOut(t *testing.T) {
	s, err := Parse([]byte("name = \"counter\"\n[length_mm]\nhigh = 90\n[weight_g.tuna]\naim = 14\n"))
	fatal.If(t, err)
	want := Default()
	want.Name, want.Length.High, want.Weight.Tuna.Aim = "counter", 90, 14
	if s != want {
		t.Errorf("got  %+v\nwant %+v", s, want)
	}
}

func TestParseErrors(t *testing.T) {
	const head = "name = \"x\"\n"
	for _, c := range []struct{ name, text, want string }{
		{"unknown key with its line", head + "[length_mm]\nlowest = 3\n", "line 3: nothing here is called length_mm.lowest"},
		{"unknown table", head + "[lenght_mm]\nlow = 3\n", "lenght_mm"},
		{"unknown group", head + "[weight_g.tunna]\nlow = 3\n", "tunna"},
		{"bad syntax with its line", head + "practice = maybe\n", "line 2"},
		{"wrong type", head + "[width_mm]\nlow = \"35\"\n", "line 3"},
		{"twice", head + "name = \"y\"\n", "name"},
		{"not UTF-8", head + "# \xff\n", "line 2 cannot be read"},
		{"no name", "practice = true\n", "name is missing"},
		{"empty", "", "name is missing"},
		{"name with an escape", "name = \"a\\u001b[31m\"\n", "cannot be printed"},
		{"low above high", head + "[length_mm]\nlow = 90\naim = 88\nhigh = 85\n", "length_mm: low 90 is above high 85"},
		{"aim outside", head + "[width_mm]\naim = 50\n", "line 2: width_mm: aim 50 is outside low 32 to high 38"},
		{"negative", head + "[weight_g.white]\nlow = -1\n", "line 3: weight_g.white.low = -1 is outside 0 to 500"},
		{"NaN", head + "[length_mm]\nlow = nan\n", "length_mm.low = NaN"},
		{"infinite", head + "[length_mm]\nhigh = inf\n", "length_mm.high = +Inf"},
		{"floor above 1", head + "[rice]\ncover_floor = 1.2\n", "rice.cover_floor = 1.2"},
		{"corner too large", head + "[rice]\ncorner_mm = 20\n", "corner_mm 20 is more than half of width_mm 30"},
		{"rice on its side", head + "[rice]\nlength_mm = 20\n", "swap them"},
		{"no rice", head + "[rice]\nwidth_mm = 0\ncorner_mm = 0\n", "rice.width_mm = 0"},
		{"taper", head + "triangular_taper = -0.1\n", "triangular_taper = -0.1"},
		{"skew", head + "[skew_deg]\nhigh = 91\n", "skew_deg.high = 91"},
		{"no such limit of skew", head + "[skew_deg]\nlow = 1\n", "low"},
		{"guard", head + "[verdict]\nguard = \"strict\"\n", `line 3: verdict.guard = "strict" is none of: rejection, acceptance, both, none`},
		{"counts as", head + "[verdict]\nunsure_counts_as = \"maybe\"\n", `unsure_counts_as = "maybe"`},
		{"points", head + "[grading]\npace = -5\n", "grading.pace: -5"},
		{"no points", head + "[grading]\nlength=0\nwidth=0\nweight=0\ncover=0\nevenness=0\ncount=0\npace=0\n", "grading: no part"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := Parse([]byte(c.text))
			if err == nil {
				t.Fatalf("accepted:\n%s", c.text)
			}
			if s != (Standard{}) {
				t.Error("a refused standard is returned half-filled")
			}
			if !strings.Contains(err.Error(), c.want) {
				t.Errorf("error does not say %q:\n%v", c.want, err)
			}
		})
	}
}

func TestLoad(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "house.toml")
	fatal.If(t, os.WriteFile(path, []byte("name = \"counter\"\n"), 0o644))
	if s, err := Load(path); err != nil || s.Name != "counter" {
		t.Errorf("got %q, %v", s.Name, err)
	}
	fatal.If(t, os.WriteFile(path, make([]byte, maxBytes+1), 0o644))
	for _, bad := range []string{path, dir, filepath.Join(dir, "missing.toml")} {
		if _, err := Load(bad); err == nil || !strings.Contains(err.Error(), bad) {
			t.Errorf("Load(%q): error %v does not name the file", bad, err)
		}
	}
}

// The default taper setting follows from geometry: a trapezoid of the aimed
// length, as wide at its wide end as the aimed width, just misses the cover
// floor. Cover is summed in strips across the footprint, by its closed form.
func TestTriangularTaperFollowsFromGeometry(t *testing.T) {
	s := Default()
	if c := trapezoidCover(s, s.TriangularTaper); c < s.Rice.CoverFloor {
		t.Errorf("a trapezoid of taper %g already misses the floor: cover %.4f", s.TriangularTaper, c)
	}
	if c := trapezoidCover(s, s.TriangularTaper+0.04); c >= s.Rice.CoverFloor {
		t.Errorf("a trapezoid of taper %g still covers: %.4f", s.TriangularTaper+0.04, c)
	}
}

// trapezoidCover is the rice cover of an upright symmetric trapezoid; taper is
// (wide - narrow) / mean of the widths at 10 % and 90 %, so a point gives 1.6.
func trapezoidCover(s Standard, taper float64) float64 {
	l, mean := s.Length.Aim, s.Width.Aim/(1+taper/1.6)
	const strips, shifts = 2000, 50
	best := 0.0
	for k := 0; k <= shifts; k++ {
		shift := (l - s.Rice.Length) / 2 * (2*float64(k)/shifts - 1)
		covered, total := 0.0, 0.0
		for i := range strips {
			x := s.Rice.Length * ((float64(i)+0.5)/strips - 0.5)
			d := math.Max(0, math.Abs(x)-(s.Rice.Length/2-s.Rice.Corner))
			rice := s.Rice.Width - 2*s.Rice.Corner + 2*math.Sqrt(s.Rice.Corner*s.Rice.Corner-d*d)
			slice := math.Max(0, mean*(1-taper/0.8*(x+shift)/l))
			total += rice
			covered += math.Min(rice, slice)
		}
		best = math.Max(best, covered/total)
	}
	return best
}

// Whatever the file says: no panic, and what is accepted judges without
// contradiction: a slice at every aim passes when its U is 0.
func FuzzParse(f *testing.F) {
	f.Add([]byte("name = \"x\"\n[length_mm]\nlow = 70\n"))
	f.Add([]byte("name = \"x\"\n[rice]\ncover_floor = nan\n"))
	f.Add([]byte("[grading]\npace = 9223372036854775807\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Parse(data)
		if err != nil {
			return
		}
		for _, g := range groups {
			w := s.WeightFor(g).Aim
			yes := true
			m := piece.Piece{Length: piece.Of(s.Length.Aim, 0), Width: piece.Of(s.Width.Aim, 0), Weight: piece.Of(w, 0), Cover: piece.Of(1, 0), Koba: &yes}
			if s.Judge(&m, g); m.Verdict != piece.Pass {
				t.Fatalf("a slice at every aim does not pass: %+v\n%s", m.Faults, data)
			}
		}
	})
}
