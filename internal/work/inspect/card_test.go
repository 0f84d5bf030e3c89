package inspect

import (
	"encoding/json"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/mat"
	"netagauge/internal/see/parallax"
	"netagauge/internal/see/photo"
	"netagauge/internal/see/segment"
	"netagauge/internal/see/shape"
	"netagauge/testdata/photos"
)

// A card of ID-1 size, 85.60 × 53.98 × 0.76 mm (ISO/IEC 7810), comes out within
// 0.5 mm from its outline in the photo, with no scale taken from it. The
// truth's outline of the same card must agree, or the sample is not what its
// README says.
func TestCardHasItsStandardSize(t *testing.T) {
	data, _ := sample(t, "tray-card")
	card := cardOutline(t)
	pic, err := photo.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	f, err := mat.Find(pic.Luma(), pic.F35)
	if err != nil {
		t.Fatal(err)
	}
	seen, _, err := segment.Find(pic.YCbCr, f)
	if err != nil {
		t.Fatal(err)
	}
	where := card.Centroid()
	eye := f.Camera.Eye()
	cards := 0
	for _, p := range seen.Pieces {
		if r2.Norm(r2.Sub(shape.Outline(p.Outline).Centroid(), where)) > 10 {
			continue
		}
		cards++
		above, err := parallax.Above([]parallax.View{{Outline: p.Outline, Eye: parallax.Eye{Foot: r2.Vec{X: eye.X, Y: eye.Y}, Height: -eye.Z}}}, parallax.Upright(0.76))
		if err != nil {
			t.Fatal(err)
		}
		isCard(t, "measured", above.Whole)
	}
	if cards != 1 {
		t.Errorf("%d pieces lie where the card is, want 1", cards)
	}
	isCard(t, "truth", card)
}

func isCard(t *testing.T, what string, o shape.Outline) {
	t.Helper()
	m, err := shape.Measure(o)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(m.Length-85.60) > 0.5 || math.Abs(m.Width-53.98) > 0.5 {
		t.Errorf("%s: the card is %.2f × %.2f mm, want 85.60 × 53.98 ± 0.5", what, m.Length, m.Width)
	}
}

// cardOutline is the card as the scene placed it.
func cardOutline(t *testing.T) shape.Outline {
	t.Helper()
	text, err := photos.Files.ReadFile("tray-card.truth.json")
	if err != nil {
		t.Fatal(err)
	}
	var tr struct {
		Objects []struct {
			Outline [][2]float64 `json:"outline_mm"`
		}
	}
	if err := json.Unmarshal(text, &tr); err != nil || len(tr.Objects) != 1 {
		t.Fatalf("the sample's truth has %d objects, want the card: %v", len(tr.Objects), err)
	}
	return outlineOf(tr.Objects[0].Outline)
}
