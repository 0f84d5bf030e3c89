package report

import (
	"bytes"
	"os"
	"regexp"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/tell/telltest"
)

func TestColourOnlyRepeats(t *testing.T) {
	var plain, coloured bytes.Buffer
	fatal.If(t, english.Text(&plain, false, sample(), refused()))
	fatal.If(t, english.Text(&coloured, true, sample(), refused()))
	if plain.String() == coloured.String() {
		t.Error("colour was asked for and there is none")
	}
	stripped := regexp.MustCompile("\x1b\\[[0-9;]*m").ReplaceAllString(coloured.String(), "")
	if stripped != plain.String() {
		t.Errorf("without its colours the coloured text is\n%s\nwant\n%s", stripped, plain.String())
	}
	telltest.Says(t, plain.String(), "again", "short", "narrow?", "REFUSED", english.Word("caution"))
}

func TestColourFor(t *testing.T) {
	f, err := os.CreateTemp(t.TempDir(), "out")
	fatal.If(t, err)
	defer f.Close()
	for c, want := range map[Colour]bool{"": false, ColourAuto: false, ColourNever: false, ColourAlways: true} {
		if c.On(f) != want || c.On(&bytes.Buffer{}) != want {
			t.Errorf("%q: colour in a file or a buffer, want %v", c, want)
		}
	}
}

func TestRounding(t *testing.T) {
	for _, c := range []struct {
		name string
		in   float64
		want float64
	}{
		{"length_mm", 80.314999, 80.31}, {"length_mm", -0.001, 0}, {"area_mm2", 2711.05, 2711.1},
		{"weight_g", 11.745, 11.75}, {"rice_cover", 0.96951, 0.970}, {"rice_cover", 0.96949, 0.969},
		{"u", 0.30101, 0.3011},
		{"length_mm", 1e300, 1e300}, {"taper", 1.0775, 1.078}, {"px_per_mm", 8.914, 8.91},
	} {
		if got := roundAs(c.name, c.in); got != c.want {
			t.Errorf("%s %v became %v, want %v", c.name, c.in, got, c.want)
		}
	}
}

// A value never reads like a limit that it misses.
func TestFaultKeepsApartFromItsLimit(t *testing.T) {
	for _, c := range []struct {
		f    piece.Fault
		want string
	}{
		{piece.Fault{What: "length", Measured: 74.96, Low: ptr(75.0), High: ptr(85.0)}, "length 74.96 mm, the house asks 75 to 85 mm"},
		{piece.Fault{What: "length", Measured: 71.04, Low: ptr(75.0), High: ptr(85.0)}, "length 71.0 mm, the house asks 75 to 85 mm"},
		{piece.Fault{What: "weight", Measured: 5.2, Low: ptr(6.0), High: ptr(9.0)}, "weight 5.2 g, the house asks 6 to 9 g"},
		{piece.Fault{What: "ragged", Measured: 0.9697, Low: ptr(0.97)}, "ragged, covers 96.97 % of the rice, the house asks 97 % or more"},
		{piece.Fault{What: "koba"}, "no step (koba) along the edge, the house asks for one"},
	} {
		if got := english.sentence(c.f); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

func TestHTMLStandsAlone(t *testing.T) {
	var b bytes.Buffer
	picture, err := EncodeJPEG(tableau(1))
	fatal.If(t, err)
	fatal.If(t, english.HTML(&b, Page{Report: sample(), Picture: picture}, Page{Report: refused()}))
	s := b.String()
	if !strings.Contains(s, `src="data:image/jpeg;base64,/9j/`) {
		t.Error("the picture is not in the page")
	}
	if m := regexp.MustCompile(`(?i)https?://|<link|<script|@import|url\(|src="[^d]`).FindString(s); m != "" {
		t.Errorf("the page reaches outside itself: %q", m)
	}
	for _, key := range CautionKeys {
		c := english.Word(key)
		if !strings.Contains(s, c) {
			t.Errorf("the page lacks the caution %q", c)
		}
	}
	if err := english.HTML(&b, Page{Report: sample(), Picture: []byte("<svg>")}); err == nil {
		t.Error("a picture that is not a JPEG was taken")
	}
}
