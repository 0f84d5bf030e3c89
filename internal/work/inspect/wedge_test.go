package inspect

import (
	"encoding/json"
	"math"
	"testing"

	"netagauge/internal/core/piece"
)

// Both photos of rendered slices that are thicker at one end and one side tell
// by how much, within the intervals given; testdata/pairs/README.md says how they
// were made.
func TestSecondPhotoTellsWedge(t *testing.T) {
	var truth struct {
		Slices []struct {
			Middle [2]float64 `json:"pos_mm"`
			Rise   [2]float64 `json:"rise_mm_per_mm"`
		}
	}
	if err := json.Unmarshal(readPair(t, "wedge.truth.json"), &truth); err != nil {
		t.Fatal(err)
	}
	res, err := measure(t, twoPhotos(t, "wedge.jpg", "wedge.b.jpg"))
	if err != nil || res.Report.Status != piece.TrayMeasured {
		t.Fatal(err, res.Report.Problems)
	}
	for _, s := range truth.Slices {
		p := nearest(res.Report, s.Middle)
		if !p.WedgeAlong.Known || p.ThicknessMap == nil {
			t.Errorf("piece %d: no wedge and no map of its thickness", p.Number)
			continue
		}
		sin, cos := math.Sincos(p.AxisDeg * math.Pi / 180)
		along := (s.Rise[0]*cos + s.Rise[1]*sin) * p.OverallLength.X
		across := (s.Rise[1]*cos - s.Rise[0]*sin) * p.OverallWidth.X
		for _, c := range []struct {
			name         string
			got, u, want float64
		}{{"along", p.WedgeAlong.X, p.WedgeAlong.U, along}, {"across", p.WedgeAcross.X, p.WedgeAcross.U, across}} {
			if d := math.Abs(c.got - c.want); d > c.u || c.u > 0.4 {
				t.Errorf("piece %d: thicker by %.2f ± %.2f mm %s, the scene has %.2f", p.Number, c.got, c.u, c.name, c.want)
			}
		}
		if got := slopeOf(*p.ThicknessMap, cos, sin) * p.OverallLength.X; math.Abs(got-along) > 0.4 {
			t.Errorf("piece %d: its map is thicker by %.2f mm at one end, the scene has %.2f", p.Number, got, along)
		}
	}
}

// slopeOf is the regression of a map's cells along a direction on the mat, of the
// middle third of its rows, where no koba lies.
func slopeOf(m piece.ThicknessMap, cos, sin float64) float64 {
	var n, x, t, xx, xt float64
	rows := len(m.Thickness)
	for row := rows / 3; row < rows-rows/3; row++ {
		for col, c := range m.Thickness[row] {
			if c == nil {
				continue
			}
			at := [2]float64{m.First[0] + float64(col)*m.Along[0] + float64(row)*m.Across[0], m.First[1] + float64(col)*m.Along[1] + float64(row)*m.Across[1]}
			d := at[0]*cos + at[1]*sin
			n, x, t, xx, xt = n+1, x+d, t+*c, xx+d*d, xt+d**c
		}
	}
	return (n*xt - x*t) / (n*xx - x*x)
}
