package shape_test

import (
	"encoding/json"
	"os"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/shape"
	"netagauge/testdata/photos"
)

// shapely 1.8, OpenCV 4.6 and, for the rice, a global search by scipy 1.10; by
// testdata/shape/make_reference.py.
func TestAgainstOtherLibraries(t *testing.T) {
	data, err := os.ReadFile("../../../testdata/shape/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var refs []struct {
		Tray                                  string
		Slice                                 int
		Length, Width, Area, Perimeter, Taper float64
		OverallLength                         float64 `json:"overall_length"`
		OverallWidth                          float64 `json:"overall_width"`
		CVArea                                float64 `json:"cv_area"`
		CVPerimeter                           float64 `json:"cv_perimeter"`
		Cover                                 float64
		Centroid                              [2]float64
	}
	if err := json.Unmarshal(data, &refs); err != nil {
		t.Fatal(err)
	}
	for _, want := range refs {
		o := sampleOutline(t, want.Tray, want.Slice)
		m := measure(t, o)
		near(t, want.Tray+" length", m.Length, want.Length, 0.02)
		near(t, want.Tray+" width", m.Width, want.Width, 0.02)
		near(t, want.Tray+" overall length", m.OverallLength, want.OverallLength, 1e-3)
		near(t, want.Tray+" overall width", m.OverallWidth, want.OverallWidth, 1e-3)
		near(t, want.Tray+" area", m.Area, want.Area, 1e-3)
		near(t, want.Tray+" perimeter", m.Perimeter, want.Perimeter, 1e-3)
		near(t, want.Tray+" area by OpenCV", m.Area, want.CVArea, 0.05) // single precision there
		near(t, want.Tray+" perimeter by OpenCV", m.Perimeter, want.CVPerimeter, 0.05)
		near(t, want.Tray+" taper", m.Taper, want.Taper, 0.002)
		near(t, want.Tray+" centroid x", m.Centroid.X, want.Centroid[0], 1e-3)
		near(t, want.Tray+" centroid y", m.Centroid.Y, want.Centroid[1], 1e-3)
		share, _ := shape.Cover(o, m, defaultRice)
		near(t, want.Tray+" cover", share, want.Cover, 0.001)
	}
}

func sampleOutline(t testing.TB, tray string, i int) shape.Outline {
	t.Helper()
	data, err := photos.Files.ReadFile(tray + ".truth.json")
	if err != nil {
		t.Fatal(err)
	}
	var tr struct {
		Slices []struct {
			Outline [][2]float64 `json:"outline_mm"`
		} `json:"slices"`
	}
	if err := json.Unmarshal(data, &tr); err != nil {
		t.Fatal(err)
	}
	var o shape.Outline
	for _, p := range tr.Slices[i].Outline {
		o = append(o, r2.Vec{X: p[0], Y: p[1]})
	}
	return o
}
