package disc

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"netagauge/internal/core/uncertainty"
	"netagauge/internal/see/parallax"
)

func arc(centre r2.Vec, radius, from, to float64) []r2.Vec {
	const n = 120
	var out []r2.Vec
	for i := range n {
		sin, cos := math.Sincos(from + (to-from)*float64(i)/n)
		out = append(out, r2.Add(centre, r2.Scale(radius, r2.Vec{X: cos, Y: sin})))
	}
	return out
}

// coinSeen is the outline of a coin on the mat plane: the upper rim lands further
// from the eye's foot and larger, by H / (H - h). Where the wall does not look
// like the mat, the lower rim is the edge on the side that faces the foot.
func coinSeen(centre r2.Vec, radius, h float64, eye parallax.Eye, wallSeen bool) []r2.Vec {
	k := eye.Height / (eye.Height - h)
	away := r2.Sub(centre, eye.Foot)
	top := r2.Add(eye.Foot, r2.Scale(k, away))
	if !wallSeen {
		return arc(top, k*radius, 0, 2*math.Pi)
	}
	a := math.Atan2(away.Y, away.X)
	return append(arc(top, k*radius, a-math.Pi/2, a+math.Pi/2), arc(centre, radius, a+math.Pi/2, a+3*math.Pi/2)...)
}

// Whichever edge is seen on the near side, the coin has its diameter.
func TestCoinHasItsDiameter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		eye := parallax.Eye{Foot: r2.Vec{X: 148, Y: 105}, Height: rapid.Float64Range(250, 600).Draw(t, "eye height")}
		centre := r2.Vec{X: rapid.Float64Range(20, 280).Draw(t, "x"), Y: rapid.Float64Range(20, 190).Draw(t, "y")}
		radius := rapid.Float64Range(9.5, 13.5).Draw(t, "radius")
		h := rapid.Float64Range(1.2, 2.4).Draw(t, "height")
		d, ok := discOf(coinSeen(centre, radius, h, eye, rapid.Bool().Draw(t, "wall seen")), eye)
		if !ok {
			t.Fatal("a coin is not taken for a disc")
		}
		got := Seen{Eye: eye}.Size(d, uncertainty.Value{X: h, U: 0.1})
		if !scalar.EqualWithinAbs(got.X, 2*radius, 0.02) {
			t.Fatalf("a coin of %.3f mm measures %.3f", 2*radius, got.X)
		}
		if !(got.U >= edgeU*0.98 && got.U < 0.1) {
			t.Fatalf("its standard uncertainty is %.3f mm", got.U)
		}
	})
}

// A rim may be worn: waves of two parts in a hundred of the radius, 1.4 by their
// root mean square, leave it a disc, and of four do not.
func TestWornRim(t *testing.T) {
	eye := parallax.Eye{Foot: r2.Vec{X: 148, Y: 105}, Height: 450}
	centre := r2.Vec{X: 150, Y: 107}
	for share, want := range map[float64]bool{0.02: true, 0.04: false} {
		rim := arc(r2.Vec{}, 12, 0, 2*math.Pi)
		for i, p := range rim {
			wave := 1 + share*math.Cos(6*math.Atan2(p.Y, p.X))
			rim[i] = r2.Add(centre, r2.Scale(wave, p))
		}
		if _, ok := discOf(rim, eye); ok != want {
			t.Errorf("waves of %g of the radius: taken for a disc: %v", share, ok)
		}
	}
}

func TestNoDiscs(t *testing.T) {
	eye := parallax.Eye{Foot: r2.Vec{X: 148, Y: 105}, Height: 300}
	polygon := func(corners ...r2.Vec) []r2.Vec {
		var out []r2.Vec
		for i, a := range corners {
			b := corners[(i+1)%len(corners)]
			for k := range 40 {
				out = append(out, r2.Add(a, r2.Scale(float64(k)/40, r2.Sub(b, a))))
			}
		}
		return out
	}
	oval := arc(r2.Vec{}, 12, 0, 2*math.Pi)
	for i := range oval {
		oval[i] = r2.Add(r2.Vec{X: 60, Y: 60}, r2.Vec{X: oval[i].X, Y: 0.85 * oval[i].Y})
	}
	half := append(arc(r2.Vec{X: 60, Y: 105}, 12, math.Pi/2, 3*math.Pi/2), polygon(r2.Vec{X: 60, Y: 93}, r2.Vec{X: 90, Y: 93}, r2.Vec{X: 90, Y: 117}, r2.Vec{X: 60, Y: 117})...)
	for name, outline := range map[string][]r2.Vec{
		"nothing":           nil,
		"one point":         {{X: 1, Y: 2}},
		"one point, often":  make([]r2.Vec, 50),
		"a line":            polygon(r2.Vec{X: 10, Y: 10}, r2.Vec{X: 60, Y: 60}),
		"not numbers":       arc(r2.Vec{X: math.NaN()}, 12, 0, 2*math.Pi),
		"a square":          polygon(r2.Vec{X: 50, Y: 50}, r2.Vec{X: 72, Y: 50}, r2.Vec{X: 72, Y: 72}, r2.Vec{X: 50, Y: 72}),
		"a slanted slice":   polygon(r2.Vec{X: 50, Y: 50}, r2.Vec{X: 130, Y: 50}, r2.Vec{X: 145, Y: 85}, r2.Vec{X: 65, Y: 85}),
		"an oval":           oval,
		"round at one end":  half,
		"a bite out of one": append(arc(r2.Vec{X: 60, Y: 60}, 12, 0.6, 2*math.Pi-0.6), r2.Vec{X: 62, Y: 60}),
	} {
		if d, ok := discOf(outline, eye); ok {
			t.Errorf("%s is taken for a disc: %+v", name, d)
		}
	}
}

func TestFindRefusesWhatIsNoPhoto(t *testing.T) {
	for _, data := range [][]byte{nil, []byte("lunch")} {
		if seen, err := Find(data); err == nil || seen.Discs != nil {
			t.Errorf("%q gives %+v", data, seen)
		}
	}
}
