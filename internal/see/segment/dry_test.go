package segment

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/mat"
)

// Water of the mat's colour with as much white light on it as makes it lie two
// thirds of the way to the paper clings to two sides of a slice, 3.5 and 1.4 mm
// wide: the slice's own edge is traced, and to half a millimetre where water ends.
func TestWaterIsNotTracedAsFish(t *testing.T) {
	wet := [3]float64{108, 143, 118}
	box := r2.NewBox(100.13, 80.37, 180.29, 115.44)
	long, end := r2.NewBox(115, box.Max.Y, 160, box.Max.Y+3.5), r2.NewBox(box.Min.X-1.4, 90, box.Min.X, 108)
	for name, colour := range map[string][3]float64{"salmon": salmonSeen, "squid": squidSeen} {
		photo, f := drawn(t, map[r2.Box][3]float64{box: colour, long: wet, end: wet})
		ps := found(t, photo, f)
		if len(ps) != 1 {
			t.Fatalf("%s: %d pieces", name, len(ps))
		}
		if g, m := offSides(ps[0], box); g > 0.5 || math.Abs(m) > 0.06 {
			t.Errorf("%s: sides up to %.3f mm off, %.3f on average", name, g, m)
		}
	}
}

// What looks like water and is fish stays: a pale slice's wall in the shade, lit by
// the mat; silver skin that mirrors the mat, all over or on one half; violet skin.
func TestFishLikeWaterStays(t *testing.T) {
	whole := r2.NewBox(100.13, 80.37, 180.29, 115.44)
	rest, strip := r2.NewBox(100.13, 80.37, 180.29, 112.4), r2.NewBox(100.13, 112.4, 180.29, 115.44)
	left, right := r2.NewBox(100.13, 80.37, 140, 115.44), r2.NewBox(140, 80.37, 180.29, 115.44)
	for name, boxes := range map[string]map[r2.Box][3]float64{
		"a wall":         {rest: squidSeen, strip: {112, 137, 122}},
		"silver skin":    {whole: {108, 143, 118}},
		"half of it so":  {left: squidSeen, right: {108, 143, 118}},
		"a violet strip": {rest: squidSeen, strip: {100, 155, 139}},
	} {
		photo, f := drawn(t, boxes)
		ps := found(t, photo, f)
		if len(ps) != 1 {
			t.Fatalf("%s: %d pieces", name, len(ps))
		}
		if g, m := offSides(ps[0], whole); g > 0.2 || math.Abs(m) > 0.06 {
			t.Errorf("%s: sides up to %.3f mm off, %.3f on average", name, g, m)
		}
	}
}

// On a board without colour a slice's shadow, which is darker than the board, is none of
// it; a dark part of the slice with a colour of its own stays.
func TestShadowOnAGrayBoardIsNoFish(t *testing.T) {
	l, err := mat.ByName("a4")
	if err != nil {
		t.Fatal(err)
	}
	box := r2.NewBox(100.13, 80.37, 180.29, 115.44)
	shadow := r2.NewBox(box.Min.X, box.Max.Y, box.Max.X, box.Max.Y+3)
	f, gray := l.Field, [3]float64{150, 128, 128}
	for name, c := range map[string]struct {
		beside [3]float64
		want   r2.Box
	}{
		"shadow":    {[3]float64{80, 128, 128}, box},
		"dark wall": {[3]float64{60, 118, 150}, r2.Box{Min: box.Min, Max: shadow.Max}},
	} {
		photo, where := drawn(t, map[r2.Box][3]float64{
			box: salmonSeen, shadow: c.beside,
			{Min: f.Min, Max: r2.Vec{X: box.Min.X, Y: f.Max.Y}}:                                 gray,
			{Min: r2.Vec{X: box.Max.X, Y: f.Min.Y}, Max: f.Max}:                                 gray,
			r2.NewBox(box.Min.X, f.Min.Y, box.Max.X, box.Min.Y):                                 gray,
			{Min: r2.Vec{X: box.Min.X, Y: shadow.Max.Y}, Max: r2.Vec{X: box.Max.X, Y: f.Max.Y}}: gray,
		})
		ps := found(t, photo, where)
		if len(ps) != 1 {
			t.Fatalf("%s: %d pieces", name, len(ps))
		}
		if g, m := offSides(ps[0], c.want); g > 0.5 || math.Abs(m) > 0.15 {
			t.Errorf("%s: sides up to %.3f mm off, %.3f on average", name, g, m)
		}
	}
}
