package ticket

import (
	"slices"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
)

func factsOf(t *testing.T, job Ticket, r *piece.Tray) map[string]string {
	t.Helper()
	out := map[string]string{}
	var keys []string
	for _, f := range job.Facts(r) {
		out[f.What] = f.Value
		keys = append(keys, f.What)
		for _, l := range phrase.Languages() {
			if _, said := l.Say(f.Says); !said || !l.Has("fact-"+f.What) {
				t.Errorf("%s has no words for %s, %v", l.Tag(), f.What, f.Says)
			}
		}
	}
	inOrder := slices.DeleteFunc(slices.Clone(piece.FactKeys), func(k string) bool { return out[k] == "" })
	if !slices.Equal(keys, inOrder) {
		t.Errorf("facts come in the order %v", keys)
	}
	return out
}

// What went in is said whole: what the photo shows, what was told and where it comes
// from, and the weight band that the house has for this species.
func TestFacts(t *testing.T) {
	job := plain()
	job.Species, job.Thickness, job.Temperature, job.LayAngle, job.SheetMM = "maguro", "4.2", "2", "35", 0.1
	slice := func(source string) piece.Piece {
		return piece.Piece{State: piece.Measured, Thickness: piece.Value{X: 4, Known: source != "", Source: source}}
	}
	tray := piece.Tray{Mat: &piece.Mat{Name: "a4", Label: "07", PrintScale: 0.9834, PrintFrom: "print-by-card"}, Pieces: []piece.Piece{slice("entered"), slice("entered")}}
	tray.Photo.TakenOn(time.Date(2026, 11, 25, 12, 30, 5, 0, time.UTC))
	got := factsOf(t, job, &tray)
	for what, want := range map[string]string{
		"photo": "2026-11-25 12:30", "mat": "a4, label 07", "print-scale": "98.3 %, by the card on the tray", "species": "bluefin tuna", "temperature": "2 °C",
		"density": " g/cm³ at this temperature, from the composition in USDA SR28 NDB 15117", "thickness": "4.2 mm, told for the tray", "lay": "35°", "sheet": "0.1 mm",
		"standard": "nigiri, length 75 to 85 mm, width 32 to 38 mm, weight 12 to 15 g (its band for tuna), rice cover 97 % or more",
	} {
		if !strings.Contains(got[what], want) {
			t.Errorf("%s: %q, want %q", what, got[what], want)
		}
	}
	if f := job.Facts(nil)[0]; f.What != "species" || f.Names["ja"] != "本マグロ" {
		t.Errorf("without a photo the first fact is %+v", f)
	}
}

func TestFactsOfThickness(t *testing.T) {
	of := func(sources ...string) *piece.Tray {
		var r piece.Tray
		for _, s := range sources {
			r.Pieces = append(r.Pieces, piece.Piece{State: piece.Measured, Thickness: piece.Value{X: 4, Known: s != "", Source: s}})
		}
		return &r
	}
	for _, c := range []struct {
		told Ticket
		tray *piece.Tray
		want string
	}{
		{Ticket{}, of("", ""), "not told"},
		{Ticket{}, nil, "not told"},
		{Ticket{}, of("second photo", "second photo", ""), "two photos (2 slices), not known (1 slice)"},
		{Ticket{Thickness: "1:4.2,2:3.9"}, of("entered", "entered", ""), "1:4.2,2:3.9 mm, told slice by slice, the thickness told (2 slices), not known (1 slice)"},
		{Ticket{Weights: "1:11.8"}, of("scale", "second photo"), "from slices weighed, 1:11.8 g, the scale (1 slice), two photos (1 slice)"},
		{Ticket{TrayWeight: "60.1"}, of("tray weight"), "from the tray's weight, 60.1 g"},
		{Ticket{Pitch: "8"}, nil, "knife step 8 mm"},
		{Ticket{Thickness: "4.2"}, of("second photo", "second photo"), "two photos (2 slices)"},
		{Ticket{Thickness: "4.2"}, of("", ""), "4.2 mm, told for the tray"},
	} {
		if got := phrase.English().Must(c.told.thickness(c.tray)); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// The band for weight is named where the house has several, and only there; a density
// that is told counts before the species' own: half a digit, rectangular, and 0.3 % from
// slice to slice make 2·√(0.00289² + 0.00315²), rounded up.
func TestFactsOfTheHouse(t *testing.T) {
	for species, want := range map[string]string{"": "weight 10 to 15 g (its general band; the fish was not told)", "salmon": "10 to 15 g (its band for other fish)", "squid": "6 to 9 g (its band for squid and abalone)"} {
		job := plain()
		job.Species, job.Density = species, "1.05"
		got := factsOf(t, job, nil)
		if !strings.Contains(got["standard"], want) || got["density"] != "1.050 ± 0.009 g/cm³, as told" {
			t.Errorf("%q: %q, density %q", species, got["standard"], got["density"])
		}
	}
	one := plain()
	one.Standard.Weight = standard.Bands{Stiff: one.Standard.Weight.General, White: one.Standard.Weight.General, Tuna: one.Standard.Weight.General, General: one.Standard.Weight.General}
	got := factsOf(t, one, &piece.Tray{Status: piece.TrayRefused})
	if strings.Contains(got["standard"], "band") || got["photo"] != "on an unknown day" || got["density"] == "" || !strings.HasSuffix(got["density"], ", that of any fish") || got["mat"] != "" {
		t.Errorf("%v", got)
	}
}
