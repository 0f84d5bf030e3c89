package serve

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/judge/weight"
	"netagauge/internal/see/shape"
	"netagauge/internal/work/inspect"
	samples "netagauge/testdata/photos"
)

var update = flag.Bool("update", false, "cut the built-in slices of calibration/eye out of the sample trays anew")

// rendered is the renderer's word of a sample tray.
type rendered struct {
	Slices []struct {
		Species   string       `json:"species"`
		Thickness float64      `json:"thickness_mm"`
		Mass      float64      `json:"mass_g"`
		Outline   [][2]float64 `json:"outline_mm"`
	} `json:"slices"`
}

// kinds are what the renderer's kinds of flesh are called here.
var kinds = map[string]string{"tuna_fatty": "bluefin tuna", "tuna_lean": "yellowfin tuna", "white_fish": "sea bream", "salmon": "salmon", "yellowtail": "yellowtail", "squid": "squid"}

// TestCutBuiltIn writes calibration/eye: the pictures as the program sees them, the
// answers from the renderer's outlines and masses.
func TestCutBuiltIn(t *testing.T) {
	if !*update {
		t.Skip("run with -update to write calibration/eye")
	}
	dir := filepath.Join("..", "..", "calibration", "eye")
	var all []cardFile
	for _, name := range []string{"tray-laid", "tray-triangles", "tray-a4"} {
		photo, err := samples.Files.ReadFile(name + ".jpg")
		fatal.If(t, err)
		text, err := samples.Files.ReadFile(name + ".truth.json")
		fatal.If(t, err)
		var truth rendered
		fatal.If(t, json.Unmarshal(text, &truth))
		got, err := inspect.Tray(t.Context(), inspect.Photos{First: inspect.Photo{Name: name, Data: photo}}, ticket.Ticket{Standard: standard.Default(), Thickness: "4"})
		fatal.If(t, err)
		for _, c := range cutsOfRendered(t, got, truth) {
			c.Picture = fmt.Sprintf("slice-%02d.jpg", len(all)+1)
			fatal.If(t, os.WriteFile(filepath.Join(dir, c.Picture), c.jpeg, 0o644))
			all = append(all, c.cardFile)
		}
	}
	text, err := json.MarshalIndent(all, "", " ")
	fatal.If(t, err)
	fatal.If(t, os.WriteFile(filepath.Join(dir, "cards.json"), append(text, '\n'), 0o644))
}

type renderedCard struct {
	cardFile
	jpeg []byte
}

func cutsOfRendered(t *testing.T, got inspect.Result, truth rendered) (out []renderedCard) {
	view, err := got.View()
	fatal.If(t, err)
	from, err := jpeg.Decode(bytes.NewReader(view))
	fatal.If(t, err)
	f, ok := frameOf(got.Report, false)
	if !ok {
		t.Fatal("no mat")
	}
	house := standard.Default().Rice
	for _, s := range truth.Slices {
		o := shape.Outline(piece.Piece{Outline: s.Outline}.Polygon())
		m, err := shape.Measure(o)
		fatal.If(t, err)
		cover, _ := shape.Cover(o, m, shape.Footprint{Length: house.Length, Width: house.Width, CornerRadius: house.Corner})
		round := func(x float64) piece.Value { return piece.Of(math.Round(100*x)/100, 0) }
		p := piece.Piece{Number: len(out) + 1, State: piece.Measured, Outline: s.Outline, AxisDeg: math.Atan2(m.Axis.Y, m.Axis.X) * 180 / math.Pi,
			Thickness: round(s.Thickness), Length: round(m.Length), Width: round(m.Width), Weight: round(s.Mass), Cover: round(cover)}
		cuts, err := cutAll(from, f.box, piece.Tray{Mat: got.Report.Mat, Pieces: []piece.Piece{p}})
		fatal.If(t, err)
		c := cuts[p.Number]
		out = append(out, renderedCard{cardFile{Fish: kinds[s.Species], Width: math.Round(100*c.width) / 100, Height: math.Round(100*c.height) / 100,
			Slice: piece.Piece{Number: p.Number, State: piece.Measured, Length: p.Length, Width: p.Width, Weight: p.Weight, Cover: p.Cover}}, c.picture})
	}
	return out
}

// Every slice that comes with the program has a picture, a fish of the table and at
// least three questions; the answers lie where slices do.
func TestBuiltInCards(t *testing.T) {
	all, err := builtInCards(standard.Default())
	fatal.If(t, err)
	if len(all) < 12 {
		t.Errorf("%d slices", len(all))
	}
	seen := map[string]bool{}
	for _, c := range all {
		if _, err := weight.BuiltIn().Find(c.Fish); err != nil || seen[c.ID] || !c.Rendered {
			t.Errorf("%s, %s: %v", c.ID, c.Fish, err)
		}
		seen[c.ID] = true
		picture, err := jpeg.Decode(bytes.NewReader(c.Picture))
		if err != nil {
			t.Fatalf("%s: %v", c.ID, err)
		}
		b := picture.Bounds()
		if ratio := float64(b.Dx()) / float64(b.Dy()) / (c.Width / c.Height); math.Abs(ratio-1) > 0.01 {
			t.Errorf("%s is drawn out of shape: %.3f", c.ID, ratio)
		}
		if len(c.Questions) < 3 {
			t.Errorf("%s has %d questions", c.ID, len(c.Questions))
		}
		for _, q := range c.Questions {
			if q.Measure == piece.Length && (q.Truth < 0.5*c.Height || q.Truth > c.Height) {
				t.Errorf("%s: %.1f mm long in a picture of %.1f mm", c.ID, q.Truth, c.Height)
			}
		}
	}
}

// A face 4 mm up, 400 mm below the camera, is seen a hundredth too large.
func TestNearer(t *testing.T) {
	if got := nearer(&piece.Mat{CameraHeightMM: 400}, piece.Of(4, 0)); math.Abs(got-0.99) > 1e-12 {
		t.Errorf("%g", got)
	}
	if nearer(nil, piece.Of(4, 0)) != 1 || nearer(&piece.Mat{CameraHeightMM: 400}, piece.Value{}) != 1 {
		t.Error("nothing known, and yet")
	}
}
