package ticket

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/weight"
)

func plain() Ticket { return Ticket{Standard: standard.Default()} }

func TestMatter(t *testing.T) {
	job := plain()
	job.Species, job.Temperature, job.LayAngle, job.Weights = "salmon", " 2 ", "45", "1:11.8"
	m, err := job.Matter()
	fatal.If(t, err)
	if lean, told := m.LayAngles.Of(1); m.Weights.None() || !told || math.Abs(lean.X-1) > 1e-9 || m.Group != "general" || m.Thickness != nil {
		t.Errorf("%+v", m)
	}
	cold := m.Density.X
	job.Temperature = ""
	if m, err = job.Matter(); err != nil || m.Density.X >= cold {
		t.Errorf("density %g at the usual temperature, %g at 2 °C (%v)", m.Density.X, cold, err)
	}
}

// A pitch of 8.0 mm at the usual plan angle of 45° with an upright knife leaves
// 8·sin 45° = 5.66 mm; with another plan angle 8·sin of that.
func TestPitch(t *testing.T) {
	for theta, want := range map[float64]float64{0: 8 * math.Sin(coach.DefaultTheta*math.Pi/180), 90: 8} {
		job := plain()
		job.Pitch, job.Cut.Theta = "8.0", theta
		m, err := job.Matter()
		fatal.If(t, err)
		if got, known := m.Thickness.Of(1); !known || math.Abs(got.X-want) > 1e-9 {
			t.Errorf("plan angle %g: %g mm, want %g", theta, got.X, want)
		}
	}
}

func TestCheckRefuses(t *testing.T) {
	for want, change := range map[string]func(*Ticket){
		"no house standard": func(t *Ticket) { t.Standard = standard.Standard{} },
		"not both":          func(t *Ticket) { t.Thickness, t.TrayWeight = "4", "60" },
		"single slices":     func(t *Ticket) { t.TrayWeight, t.Weights = "60", "1:11.8" },
		"no number of °C":   func(t *Ticket) { t.Temperature = "NaN" },
		"cannot be cut at":  func(t *Ticket) { t.Temperature, t.Species = "60", "salmon" },
		"be cut at 500":     func(t *Ticket) { t.Temperature = "500" }, // whatever the fish
		"lay angle":         func(t *Ticket) { t.LayAngle = "5" },
		"one lay angle":     func(t *Ticket) { t.Pitch, t.LayAngle = "8", "1:30" },
		"plan angle":        func(t *Ticket) { t.Cut.Theta = 170 },
		"clear film":        func(t *Ticket) { t.SheetMM = 1.1 },
		"species":           func(t *Ticket) { t.Species = "gravel" },
		"scale interval":    func(t *Ticket) { t.Weights, t.ScaleInterval = "1:12", "50" },
		"profile is for":    func(t *Ticket) { t.Species, t.Profile = "salmon", &weight.Profile{Species: "squid", Cutter: "Ann"} },
		"at least 4":        func(t *Ticket) { t.Species, t.Profile = "salmon", &weight.Profile{Species: "salmon", Cutter: "Ann"} },
	} {
		job := plain()
		change(&job)
		if err := job.Check(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: %v, want an error that says %q", job, err, want)
		}
	}
	if err := plain().Check(); err != nil {
		t.Error(err)
	}
}

// A kitchen's own species goes along on the ticket and counts before the built-in
// ones; a name that nobody knows stands for itself.
func TestFish(t *testing.T) {
	job := plain()
	job.Species = "salmon"
	if name, group := job.Fish(); name != "salmon" || group != "general" {
		t.Errorf("%q in group %q", name, group)
	}
	own, err := weight.BuiltIn().Find("salmon")
	fatal.If(t, err)
	own.Group = "stiff"
	job.OwnSpecies = weight.Table{own}
	if _, group := job.Fish(); group != "stiff" {
		t.Errorf("the kitchen's own salmon is in group %q", group)
	}
	job.Species = "gravel"
	if name, group := job.Fish(); name != "gravel" || group != "" {
		t.Errorf("%q in group %q", name, group)
	}
}

// What is on a ticket comes back from its JSON, and an empty field that was not
// there when folders were first written is not in it: the text is compared.
func TestJSON(t *testing.T) {
	job := plain()
	text, err := json.Marshal(job)
	fatal.If(t, err)
	for _, later := range []string{"Weights", "ScaleInterval", "Pitch", "Profile", "OwnSpecies"} {
		if strings.Contains(string(text), later) {
			t.Errorf("%s is in the JSON of an empty ticket", later)
		}
	}
	job.Species, job.Weights, job.ScaleInterval, job.Thickness = "salmon", "1:11.8", "1", "1:4.2,2:4"
	job.Profile = &weight.Profile{Species: "salmon", Cutter: "Ann", Pieces: []weight.Sample{{Photo: "a.jpg", Number: 1, Area: 2600, Grams: 11}}}
	own, err := weight.BuiltIn().Find("salmon")
	fatal.If(t, err)
	job.OwnSpecies = weight.Table{own}
	if text, err = json.Marshal(job); err != nil {
		t.Fatal(err)
	}
	var back Ticket
	fatal.If(t, json.Unmarshal(text, &back))
	again, err := json.Marshal(back)
	if err != nil || string(again) != string(text) || back.OwnSpecies[0].Composition != own.Composition {
		t.Errorf("%s\nbecame\n%s (%v)", text, again, err)
	}
}

func TestSays(t *testing.T) {
	job := plain()
	job.Thickness, job.Weights, job.LayAngle, job.Temperature = "4.2", "1:11.8", "45", "5"
	var said []string
	for _, x := range job.Says() {
		said = append(said, phrase.English().Must(x))
	}
	if got, want := strings.Join(said, ", "), "thickness 4.2 mm, weights 1:11.8 g, lay angle 45°, temperature 5 °C"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if job.Sources() != 1 || !job.BySlice() {
		t.Errorf("%d sources, by slice %v", job.Sources(), job.BySlice())
	}
}
