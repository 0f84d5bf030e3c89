package segment

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/mat"
)

// mirrored is the mat with a lamp's light on it, half way to white paper.
var mirrored = [3]float64{126, 143, 118}

// A lamp's mirror image joins a slice of salmon and one of squid: both are measured, and
// the light is none of the pieces.
func TestSlicesInALampsMirrorImage(t *testing.T) {
	salmon, squid := r2.NewBox(100.13, 80.37, 180.29, 115.44), r2.NewBox(150.2, 135, 230.1, 168.2)
	photo, f := drawn(t, map[r2.Box][3]float64{
		salmon: salmonSeen, squid: squidSeen, r2.NewBox(120, 115.44, 230.1, 135): mirrored,
	})
	ps := found(t, photo, f)
	if len(ps) != 2 {
		t.Fatalf("%d pieces, want 2", len(ps))
	}
	for _, box := range []r2.Box{salmon, squid} {
		least := math.Inf(1)
		for _, p := range ps {
			if g, _ := offSides(p, box); !p.Lamp && !p.CutOff {
				least = math.Min(least, g)
			}
		}
		if least > 0.5 {
			t.Errorf("no piece lies within 0.5 mm of %v: %.2f", box, least)
		}
	}
}

// Alone, at the field's edge, it is known for what it is; a pale slice there is not taken
// for one.
func TestALampsMirrorImageIsNoSlice(t *testing.T) {
	l, err := mat.ByName("a4")
	if err != nil {
		t.Fatal(err)
	}
	corner := r2.Box{Min: l.Field.Min, Max: r2.Add(l.Field.Min, r2.Vec{X: 70, Y: 40})}
	for _, c := range []struct {
		colour [3]float64
		lamp   bool
	}{{mirrored, true}, {squidSeen, false}, {salmonSeen, false}} {
		photo, f := drawn(t, map[r2.Box][3]float64{corner: c.colour})
		if ps := found(t, photo, f); len(ps) != 1 || ps[0].Lamp != c.lamp {
			t.Errorf("%v: %d pieces, a lamp: %v", c.colour, len(ps), ps[0].Lamp)
		}
	}
}
