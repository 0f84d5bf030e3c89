package segment

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

func box(x0, y0, x1, y1 float64) []r2.Vec {
	return []r2.Vec{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// Outlines written out corner by corner, mm: what is parted, and what is not.
func TestPartsOfOutlines(t *testing.T) {
	// Two slices of 80 × 35 that share a corner's square of so many mm.
	corner := func(w float64) []r2.Vec {
		return []r2.Vec{{}, {X: 80}, {X: 80, Y: 35 - w}, {X: 160 - w, Y: 35 - w}, {X: 160 - w, Y: 70 - w}, {X: 80 - w, Y: 70 - w}, {X: 80 - w, Y: 35}, {Y: 35}}
	}
	// One of 35 × 80 under the long side of another, along so many mm.
	under := func(w float64) []r2.Vec {
		return []r2.Vec{{}, {X: 80}, {X: 80, Y: 35}, {X: 40 + w, Y: 35}, {X: 40 + w, Y: 115}, {X: 40, Y: 115}, {X: 40, Y: 35}, {Y: 35}}
	}
	backwards := func(o []r2.Vec) []r2.Vec {
		o = slices.Clone(o)
		slices.Reverse(o)
		return o
	}
	third := slices.Concat(corner(4)[:4], []r2.Vec{{X: 156, Y: 62}, {X: 236, Y: 62}, {X: 236, Y: 97}, {X: 152, Y: 97}, {X: 152, Y: 66}}, corner(4)[5:])
	for name, c := range map[string]struct {
		outline []r2.Vec
		strict  [][]r2.Vec
		want    int
	}{
		"one slice":                       {box(0, 0, 80, 35), nil, 1},
		"corner on corner":                {corner(5), nil, 2},
		"the other way round":             {backwards(corner(5)), nil, 2},
		"three in a chain":                {third, nil, 3},
		"a corner's square too large":     {corner(12), nil, 1},
		"side on end, a long one":         {under(30), nil, 1},
		"a scrap on a slice":              {append(box(0, 0, 80, 35)[:3], r2.Vec{X: 8, Y: 35}, r2.Vec{X: 8, Y: 60}, r2.Vec{Y: 60}), nil, 1},
		"a bridge, mat between":           {under(30), [][]r2.Vec{box(0, 0, 80, 34), box(40, 36, 70, 115)}, 2},
		"mat between, a crumb beside":     {under(30), [][]r2.Vec{box(0, 0, 80, 34), box(40, 36, 70, 115), box(81, 10, 95, 22)}, 2},
		"mat between, another elsewhere":  {under(30), [][]r2.Vec{box(0, 0, 80, 34), box(200, 36, 230, 115)}, 1},
		"mat within one slice, no bridge": {under(30), [][]r2.Vec{under(29)}, 1},
	} {
		got, err := parts(c.outline, func() ([][]r2.Vec, error) { return c.strict, nil }, func() ([][]r2.Vec, error) { return nil, nil })
		if err != nil || len(got) != c.want {
			t.Errorf("%s: %d parts (%v), want %d", name, len(got), err, c.want)
		}
	}
}

// Teeth along one side are cleared off; what they leave must be most of the patch.
func TestFrayedOutlineIsCleared(t *testing.T) {
	comb := box(0, 0, 80, 35)[:3]
	for x := 78.0; x > 30; x -= 8 {
		comb = append(comb, r2.Vec{X: x, Y: 35}, r2.Vec{X: x, Y: 41}, r2.Vec{X: x - 3, Y: 41}, r2.Vec{X: x - 3, Y: 35})
	}
	comb = append(comb, r2.Vec{Y: 35})
	for _, c := range []struct{ opened, want []r2.Vec }{
		{box(0, 0, 80, 35), box(0, 0, 80, 35)}, {box(0, 0, 60, 35), comb}, {comb, comb},
	} {
		got, err := parts(comb, func() ([][]r2.Vec, error) { return nil, nil }, func() ([][]r2.Vec, error) { return [][]r2.Vec{c.opened}, nil })
		if err != nil || len(got) != 1 || !slices.Equal(got[0], c.want) {
			t.Errorf("%d parts (%v), want the outline of %d corners", len(got), err, len(c.want))
		}
	}
}

// Two slices, one corner on the other's, and two that smeared colour joins: each is
// found by itself, its sides where they were drawn, but for the smear that the two
// share.
func TestSlicesThatTouchAreParted(t *testing.T) {
	boxes := [4]r2.Box{
		r2.NewBox(40.13, 50.37, 110.29, 85.44), r2.NewBox(107.2, 83.1, 178.3, 117.2),
		r2.NewBox(190.1, 40.2, 223.3, 120.4), r2.NewBox(225.9, 60.2, 258.6, 139.6),
	}
	photo, f := drawn(t, map[r2.Box][3]float64{boxes[0]: salmonSeen, boxes[1]: salmonSeen, boxes[2]: squidSeen, boxes[3]: salmonSeen})
	for range 6 {
		photo.Cb, photo.Cr = boxed(photo.Cb, photo.CStride), boxed(photo.Cr, photo.CStride)
	}
	ps := found(t, photo, f)
	if len(ps) != len(boxes) {
		t.Fatalf("%d pieces, want %d", len(ps), len(boxes))
	}
	for _, b := range boxes {
		k := slices.IndexFunc(ps, func(p Piece) bool { return within(b, middle(p.Outline)) })
		if k < 0 {
			t.Errorf("nothing at %v", b)
			continue
		}
		if g, m := offSides(ps[k], b); g > 0.5 || math.Abs(m) > 0.2 {
			t.Errorf("%v: sides up to %.3f mm off, %.3f on average", b, g, m)
		}
	}
}
