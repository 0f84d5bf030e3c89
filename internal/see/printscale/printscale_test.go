package printscale

import (
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"netagauge/internal/core/uncertainty"
)

// seenAt is an object as it measures on a mat printed at a scale, each side
// known to u mm.
func seenAt(o Object, scale, u float64) Seen {
	return Seen{uncertainty.Value{X: o.Length / scale, U: u}, uncertainty.Value{X: o.Width / scale, U: u}}
}

// ISO/IEC 7810 ID-1 is 85.60 × 53.98 mm: on a mat printed at 97 % it measures
// 88.25 × 55.65 mm.
func TestCardOnAMatAt97Percent(t *testing.T) {
	s := Seen{uncertainty.Value{X: 88.25, U: 0.1}, uncertainty.Value{X: 55.65, U: 0.1}}
	got, err := Of(Card(), s)
	if err != nil {
		t.Fatal(err)
	}
	// u: 0.125/88.25 with the card's tolerance for the long side, 0.105/55.65 for
	// the short one, together √(1/(1/0.00142² + 1/0.0019²)) · 0.97 = 0.0011.
	if math.Abs(got.X-0.97) > 0.0002 || math.Abs(got.U-0.0011) > 0.0001 {
		t.Errorf("print scale %.4f ± %.4f, want 0.9700 ± 0.0011 (k = 1)", got.X, got.U)
	}
	if !IsCard(88.25, 55.65, 4902) {
		t.Error("a card on a mat printed at 97 % is not taken for a card")
	}
}

func TestEveryObjectAtEveryScale(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		o := rapid.SampledFrom(objects).Draw(rt, "object")
		scale := rapid.Float64Range(0.91, 1.09).Draw(rt, "scale")
		got, err := Of(o, seenAt(o, scale, 0.05))
		if err != nil || math.Abs(got.X-scale) > 1e-9 {
			rt.Errorf("a %s on a mat printed at %.4f tells %.4f (%v)", o.Name, scale, got.X, err)
		}
		if !(got.U > 0 && got.U < 0.006) {
			rt.Errorf("a %s leaves u = %.4f", o.Name, got.U)
		}
	})
}

func TestOfRefuses(t *testing.T) {
	card := seenAt(Card(), 1, 0.1)
	stretched, nan, vague := card, card, card
	stretched.Width.X *= 1.03
	nan.Length.X = math.NaN()
	vague.Width.U = 20
	for name, c := range map[string]struct {
		s    Seen
		want string
	}{
		"a slice":   {seenAt(Object{Length: 70, Width: 44}, 1, 0.1), "check what lies"},
		"stretched": {stretched, "stretched one way"},
		"nan":       {nan, "not measured well"},
		"vague":     {vague, "not measured well"},
		"nothing":   {Seen{}, "not measured well"},
	} {
		got, err := Of(Card(), c.s)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: scale %.3f, error %v, want one that says %q", name, got.X, err, c.want)
		}
	}
}

func TestIsCard(t *testing.T) {
	for name, c := range map[string]struct {
		l, w, a float64
		want    bool
	}{
		"card":            {85.60, 53.98, 4612, true},
		"card at 103 %":   {83.11, 52.41, 4347, true},
		"slice":           {80, 35, 2700, false},
		"slanted slice":   {85.6, 53.98, 3700, false},
		"square":          {85, 85, 7200, false},
		"larger card":     {105, 74, 7700, false},
		"half-scale card": {42.8, 26.99, 1153, false},
		"not a number":    {math.NaN(), 53.98, 4612, false},
	} {
		if got := IsCard(c.l, c.w, c.a); got != c.want {
			t.Errorf("%s of %g × %g mm: IsCard says %v", name, c.l, c.w, got)
		}
	}
}

func TestCoin(t *testing.T) {
	for _, name := range []string{"100 yen", "100yen", "us Quarter", "2 EURO"} {
		if _, err := Coin(name); err != nil {
			t.Error(err)
		}
	}
	for _, name := range []string{"button", "card", ""} {
		if _, err := Coin(name); err == nil || !strings.Contains(err.Error(), "1 yen, 5 yen") {
			t.Errorf("%q is refused by %v, want the coins by name", name, err)
		}
	}
}

// The diameters are those of mint.go.jp and EUR-Lex (Reg. 975/98).
func TestOfCoin(t *testing.T) {
	for _, c := range []struct {
		name     string
		coin     string
		diameter float64
		paper    float64
		want     float64 // 0: refused
		says     string
	}{
		{"true", "100 yen", 22.6, 0, 1, ""},
		{"true by both", "2 euro", 25.75, 1.003, 1, ""},
		{"97 %", "10 yen", 23.5 / .97, .968, .97, ""},
		{"A4 fitted on Letter", "10 yen", 23.5 / .941, 0, .941, ""},
		{"another coin", "500 yen", 22.6, 0, 0, "coins of this size: 100 yen)"},
		{"next coin, paper seen", "10 yen", 22.6, 1.001, 0, "is it another coin"},
		{"another at 97 %", "1 yen", 22.6 / .97, .969, 0, "no printer"},
		{"a plate", "2 euro", 70, 0, 0, "no printer"},
		{"nothing", "2 euro", 0, 0, 0, "not measured well"},
		{"not a number", "2 euro", math.NaN(), 0, 0, "not measured well"},
	} {
		o, err := Coin(c.coin)
		if err != nil {
			t.Fatal(err)
		}
		got, err := OfCoin(o, uncertainty.Value{X: c.diameter, U: 0.06}, c.paper)
		switch {
		case c.want == 0 && (err == nil || !strings.Contains(err.Error(), c.says)):
			t.Errorf("%s: %+v, error %v, want one that says %q", c.name, got, err, c.says)
		case c.want > 0 && (err != nil || math.Abs(got.X-c.want) > 1e-9):
			t.Errorf("%s: %+v, error %v, want %g", c.name, got, err, c.want)
		}
	}
}

func TestStore(t *testing.T) {
	path := filepath.Join(t.TempDir(), "netagauge", "prints.toml")
	s, err := Load(path)
	if err != nil || len(s.Prints) != 0 {
		t.Fatalf("a store that does not exist has %+v (%v)", s, err)
	}
	s = s.With(Record{"a3", 0.97, 0.002, "card", "2026-11-25"})
	s = s.With(Record{"a4", 1.001, 0.003, "100 yen", "2026-11-25"})
	s = s.With(Record{"a3", 0.971, 0.002, "card", "2026-11-26"})
	if err := s.Save(path); err != nil {
		t.Fatal(err)
	}
	back, err := Load(path)
	if err != nil || !reflect.DeepEqual(s, back) {
		t.Errorf("kept and read again: %+v (%v), want %+v", back, err, s)
	}
	r, ok := back.Find("a3")
	if !ok || len(back.Prints) != 2 || r.Value() != (uncertainty.Value{X: 0.971, U: 0.001}) {
		t.Errorf("mat a3 is %+v, want the newer 0.971 ± 0.001", r)
	}
	if _, ok := back.Find("letter"); ok {
		t.Error("a mat never measured has a scale")
	}
	if err := s.With(Record{"a3", 2, 0.002, "card", ""}).Save(path); err == nil {
		t.Error("a scale of 2 is kept")
	}
	if after, err := os.ReadFile(path); err != nil || !strings.Contains(string(after), "0.971") {
		t.Errorf("a refused save changed the file: %s (%v)", after, err)
	}
}

func TestParseRefuses(t *testing.T) {
	good := "[[print]]\nmat = \"a3\"\nscale = 0.97\nexpanded_uncertainty = 0.002\nobject = \"card\"\nday = \"2026-11-25\"\n"
	for name, c := range map[string]struct{ text, want string }{
		"unknown key": {good + "paper = 1\n", "line 7: nothing here is called print.paper"},
		"duplicate":   {good + "scale = 1.0\n", "line 7"},
		"twice":       {good + good, "twice"},
		"no mat":      {strings.Replace(good, "a3", "", 1), "no name"},
		"scale":       {strings.Replace(good, "0.97", "97.0", 1), "scale of 97"},
		"nan":         {strings.Replace(good, "0.97", "nan", 1), "scale of NaN"},
		"no u":        {strings.Replace(good, "0.002", "0.0", 1), "uncertainty of 0"},
	} {
		path := filepath.Join(t.TempDir(), "prints.toml")
		if err := os.WriteFile(path, []byte(c.text), 0o600); err != nil {
			t.Fatal(err)
		}
		_, err := Load(path)
		if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "prints.toml") {
			t.Errorf("%s: error %v, want one that names the file and says %q", name, err, c.want)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte("[[print]]\nmat = \"a3\"\nscale = 0.97\nexpanded_uncertainty = 0.002\n"))
	f.Add([]byte("print = 3"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Parse(data)
		if err != nil && s.Prints != nil {
			t.Errorf("refused (%v), and still %+v", err, s)
		}
		if err == nil && s.check() != nil {
			t.Errorf("%+v is taken", s)
		}
	})
}

// A coin gives a scale that the store will keep, or an error and none.
func FuzzCoin(f *testing.F) {
	f.Add("100 yen", 22.6, 0.06, 1.0)
	f.Add("2EURO", 26.5, 0.06, 0.0)
	f.Fuzz(func(t *testing.T, name string, diameter, u, paper float64) {
		o, err := Coin(name)
		if err != nil {
			return
		}
		s, err := OfCoin(o, uncertainty.Value{X: diameter, U: u}, paper)
		if err != nil && s != (uncertainty.Value{}) {
			t.Errorf("refused (%v), and still %+v", err, s)
		}
		if err != nil {
			return
		}
		r := Record{"a4", s.X, s.Expanded(), o.Name, "2026-11-25"}
		if err := (Store{}).With(r).check(); err != nil {
			t.Errorf("a %s of %g ± %g mm gives %+v, which is not kept: %v", name, diameter, u, s, err)
		}
	})
}
