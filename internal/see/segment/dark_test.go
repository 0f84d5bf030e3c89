package segment

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// A face, a wall of half its light that the mat lights, and the mat, all blurred alike: the
// edge drawn must be found within 0.05 mm, however wide the wall is, while half-way colour
// lies up to 0.1 mm inside. A bright rim moves it as far outward.
func TestPastDarkWalls(t *testing.T) {
	const sigma, step, edge = 0.26, 0.2, 0.05 // mm, the edge so far outside the coarse one
	worst := 0.0
	for _, c := range []struct{ wide, light, of float64 }{ // mm, and shares of the face's light and of the mat's
		{0, 1, 0}, {0.3, 0.5, 0.1}, {0.5, 0.5, 0.1}, {0.8, 0.6, 0.1}, {4, 1, 0}, {0.4, 1.4, 0},
	} {
		prof := make([]colour, 19)
		for i := range prof {
			for k := -30; k <= 30; k++ { // a Gaussian by sums
				x := float64(i)*step - reachMM + float64(k)*sigma/10
				w := math.Exp(-float64(k*k)/200) / (10 * math.Sqrt(2*math.Pi))
				fish, bare := 1.0, 0.0
				if x > edge-c.wide {
					fish, bare = c.light, c.of
				}
				if x > edge {
					fish, bare = 0, 1
				}
				prof[i].l += w * (150*fish + 80*bare)
				prof[i].b += w * (-30*fish + 35*bare)
			}
		}
		m, ok := mixtureOf(colour{l: 150, b: -30}, colour{l: 80, b: 35})
		if !ok {
			t.Fatal("no mixture")
		}
		mid := inward(prof, m.share, 0.5)
		pts := make([]point, 20)
		for i := range pts {
			pts[i] = point{normal: r2.Vec{X: 1}, found: true, at: r2.Vec{X: mid*step - reachMM}, lit: m.litAt(prof, mid-darkAt*sigma/step)}
		}
		before := math.Abs(pts[0].at.X - edge)
		(&tracer{planes: &planes{blur: sigma}}).pastDark(pts)
		if got := pts[7].at.X; math.Abs(got-edge) > 0.065 {
			t.Errorf("wall of %v mm, light %v: edge at %.3f mm found at %.3f", c.wide, c.light, edge, got)
		}
		worst = math.Max(worst, before)
	}
	if worst < 0.08 {
		t.Errorf("half-way colour lies %.3f mm off at worst: the test shows nothing", worst)
	}
}

// How dark sides are is told by the lightest quarter of a tray's; a side's own is the
// median of the places where its edge was seen and no water lies outside.
func TestDarkByTray(t *testing.T) {
	pieces := []Piece{
		{Walls: []Wall{{Dark: -0.9}, {Dark: -0.7}, {Dark: math.NaN()}}},
		{Walls: []Wall{{Dark: -0.88}, {Dark: -0.87}}},
	}
	byTray(pieces)
	for _, c := range []struct{ got, want float64 }{
		{pieces[0].Walls[0].Dark, -0.02}, {pieces[0].Walls[1].Dark, 0.18}, {pieces[1].Walls[0].Dark, 0},
	} {
		if math.Abs(c.got-c.want) > 1e-9 {
			t.Errorf("dark by %.3f, want %.3f", c.got, c.want)
		}
	}
	if !math.IsNaN(pieces[0].Walls[2].Dark) {
		t.Error("a side that was not looked at is said to be dark")
	}
	byTray(nil)

	pts := make([]point, 30)
	var s side
	for i := range pts {
		pts[i] = point{found: i%3 > 0, lit: 0.8}
		if i%3 == 1 {
			pts[i].water, pts[i].lit = 1, 0.2
		}
		if !pts[i].found {
			pts[i].lit = 5
		}
		s.places = append(s.places, i)
	}
	if got := s.lit(pts); got != 0.8 {
		t.Errorf("light beside the edge %v, want 0.8", got)
	}
	s.places = s.places[:12]
	if got := s.lit(pts); !math.IsNaN(got) {
		t.Errorf("few places tell a light of %v", got)
	}
}
