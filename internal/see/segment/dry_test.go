package segment

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
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
