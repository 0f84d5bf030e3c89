package weight

import (
	"math"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/uncertainty"
)

// GUM 4.3.7: a reading is known to half of its last digit, rectangular.
func TestReadingFollowsItsDigits(t *testing.T) {
	for text, half := range map[string]float64{"4": 0.5, "4.2": 0.05, "4.20": 0.005, "4.213": 0.0005, "12": 0.5} {
		r, err := parseReading(text)
		fatal.If(t, err)
		near(t, "u of "+text, r.U, half/math.Sqrt(3), 1e-12)
	}
}

func TestEnteredForTheTray(t *testing.T) {
	e, err := ParseThickness("4.1")
	fatal.If(t, err)
	got, ok := e.Of(7)
	if !ok || got.X != 4.1 || got.Source != FromEntered {
		t.Errorf("piece 7 has %+v, want 4.1 mm entered", got)
	}
	near(t, "u with the spread between slices", got.U, math.Hypot(0.05/math.Sqrt(3), 0.15*4.1), 1e-9)
}

func TestEnteredByPiece(t *testing.T) {
	e, err := ParseThickness("1:4.2, 3:3.95")
	fatal.If(t, err)
	if got, ok := e.Of(3); !ok || got.X != 3.95 {
		t.Errorf("piece 3 has %+v, want 3.95 mm", got)
	}
	if got, ok := e.Of(2); ok {
		t.Errorf("nothing was entered for piece 2, and it has %+v", got)
	}
	d := Density{Value: uncertainty.Value{X: 1.05, U: 0.01}}
	w, err := e.Weigh([]Piece{{1, plainSlice(2700)}, {2, plainSlice(2600)}, {3, plainSlice(2500)}}, d)
	if err != nil || len(w) != 2 || w[0].Number != 1 || w[1].Number != 3 {
		t.Errorf("weighed %+v, %v; want pieces 1 and 3", w, err)
	}
	_, err = e.Weigh([]Piece{{1, plainSlice(2700)}, {2, plainSlice(2600)}}, d)
	if err == nil || !strings.Contains(err.Error(), "slice 3") || !strings.Contains(err.Error(), "1, 2") {
		t.Errorf("piece 3 is not on the tray, and the error is %v", err)
	}
}

func TestParseThicknessRefuses(t *testing.T) {
	for bad, want := range map[string]string{
		"":                       "empty",
		"0":                      "more than zero",
		"0.2":                    "0.5 to 30",
		"80":                     "0.5 to 30",
		"-4":                     "more than zero",
		"NaN":                    "plain number",
		"+Inf":                   "plain number",
		"1e1":                    "plain number",
		"0x4":                    "plain number",
		"4.":                     "plain number",
		".5":                     "plain number",
		"4,1":                    `"4.1"`,
		"4.1mm":                  "plain number",
		"4.1 4.2":                "plain number",
		"4.1111111111111":        "digits",
		"1:4.2,1:4.3":            "gives slice 1 twice",
		"1:4.2,":                 "no slice number",
		"1:4.2,3.9":              "no slice number",
		"1:":                     "empty",
		":4.2":                   "no slice number",
		"0:4.2":                  "no slice number",
		"-1:4.2":                 "no slice number",
		"+1:4.2":                 "no slice number",
		"one:4.2":                "no slice number",
		"1:0.2":                  "0.5 to 30",
		"1:80":                   "0.5 to 30",
		"1:-4":                   "more than zero",
		"1:NaN":                  "plain number",
		"1:2:3":                  "plain number",
		"99999999999999999999:4": "no slice number",
		"1:4.2,2:4.1,2:4.1":      "gives slice 2 twice",
	} {
		e, err := ParseThickness(bad)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("thickness %q: got %+v, error %v, want an error that says %s", bad, e, err, want)
		}
	}
}

func FuzzParseThickness(f *testing.F) {
	for _, s := range []string{"4.1", "1:4.2,2:3.9", "0.2", "1:", "4,1", "NaN", "1:4.2,1:4.2", " 2 : 3.9 "} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		e, err := ParseThickness(s)
		for n := 1; n <= 20; n++ {
			got, ok := e.Of(n)
			if ok && err != nil {
				t.Errorf("%q is refused (%v), and piece %d has %g mm", s, err, n, got.X)
			}
			if ok && !(got.X >= thinnest && got.X <= thickest && got.U > 0) {
				t.Errorf("%q gives piece %d %g ± %g mm", s, n, got.X, got.U)
			}
		}
	})
}

// Parallel cuts 8 mm apart along the block, 45° to it with an upright knife, are
// 8·sin 45° = 5.66 mm apart; with the knife at 30° to the board half of that.
func TestParsePitch(t *testing.T) {
	for _, c := range []struct{ theta, phi, want float64 }{{90, 90, 8}, {45, 90, 5.657}, {45, 30, 2.828}} {
		e, err := ParsePitch("8.0", c.theta, c.phi)
		fatal.If(t, err)
		got, ok := e.Of(1)
		if !ok || got.Source != FromCutPlan {
			t.Errorf("piece 1 has %+v, want one from the cut plan", got)
		}
		near(t, "thickness", got.X, c.want, 0.001)
	}
	for _, c := range []struct {
		pitch      string
		theta, phi float64
	}{{"0", 45, 90}, {"-8", 45, 90}, {"0.6", 45, 30}, {"80", 90, 90}, {"8", 0, 90}, {"8", 45, 95}, {"8", math.NaN(), 90}, {"1:8", 45, 90}} {
		if e, err := ParsePitch(c.pitch, c.theta, c.phi); err == nil {
			t.Errorf("a pitch of %q at %g° and %g° is taken: %+v", c.pitch, c.theta, c.phi, e)
		}
	}
}
