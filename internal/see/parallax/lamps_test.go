package parallax

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// skyLight is the light, by that of an open sky, at a place d off the foot of a long
// wall whose upper edge lies inside the foot and h high. The sky falls off with the sine
// of the angle from the zenith by a share, and is brighter on the wall's side by another.
// It is added up strip by strip: no closed form is used.
func skyLight(d, inside, h, falls, wallSide float64) float64 {
	var open, all float64
	const n = 160
	for i := range n {
		theta := math.Pi / 2 * (i2f(i) + 0.5) / n // from the zenith
		for j := range n {
			phi := 2 * math.Pi * (i2f(j) + 0.5) / n
			x, z := math.Sin(theta)*math.Cos(phi), math.Cos(theta) // x toward the wall
			from := (1 - falls*math.Sin(theta) + wallSide*x) * z * math.Sin(theta)
			all += from
			if x <= 0 || z/x > h/(d+inside) {
				open += from
			}
		}
	}
	return open / all
}

func i2f(i int) float64 { return float64(i) }

// trayUnder is a tray of slices 4 mm high, some leaning, under a sky, all of them taken
// to be upright so far.
func trayUnder(leans []r2.Vec, brighter r2.Vec, falls float64) []Shaded {
	eye := Eye{Foot: r2.Vec{X: 150, Y: 100}, Height: 400}
	var out []Shaded
	for k, lean := range leans {
		mid := r2.Vec{X: 40 + 70*float64(k%4), Y: 50 + 100*float64(k/4)}
		s := Shaded{Eye: eye, Height: 4, Leans: []Likely{{Share: 1}}}
		for i, half := range []float64{12, 30, 12, 30} {
			y, x := math.Sincos(float64(i)*math.Pi/2 + 0.3*float64(k))
			n := r2.Vec{X: x, Y: y}
			shade := Shade{Normal: n, Mid: r2.Add(mid, r2.Scale(half, n))}
			moved := 4 / (eye.Height - 4) * r2.Dot(r2.Sub(shade.Mid, eye.Foot), n)
			inside := math.Max(moved, 4*r2.Dot(lean, n))
			for d := range shade.dark {
				shade.dark[d] = math.Log(skyLight(away[d], inside, 4, falls, -r2.Dot(brighter, n)))
			}
			s.Shades = append(s.Shades, shade)
		}
		out = append(out, s)
	}
	return out
}

// Shades beside a tray's slices tell a wall that runs out, and to which side.
func TestShadesTellLeans(t *testing.T) {
	leans := []r2.Vec{{}, {}, {}, {}, {}, {X: 0.7, Y: -0.4}, {}, {X: -0.9}}
	for _, sky := range []struct {
		brighter r2.Vec
		falls    float64
	}{{r2.Vec{}, 0}, {r2.Vec{}, 0.4}, {r2.Vec{X: 0.4, Y: 0.2}, 0.2}} {
		lamps := LampsOf(trayUnder(leans, sky.brighter, sky.falls))
		for k, lean := range leans {
			tell := lamps.Tells(k)
			best, most := r2.Vec{}, math.Inf(-1)
			for i := range side * side {
				if at := leanAt(i); r2.Norm(at) < 1.5 && tell(at) > most {
					best, most = at, tell(at)
				}
			}
			if d := r2.Norm(r2.Sub(best, lean)); d > 0.25 {
				t.Errorf("sky %v: slice %d leans by %.2f and is told to by %.2f", sky, k, lean, best)
			}
			if turned := tell(r2.Scale(-1, lean)); r2.Norm(lean) > 0 && tell(lean) < turned+3 {
				t.Errorf("sky %v: slice %d: %.1f for the lean, %.1f for its opposite", sky, k, tell(lean), turned)
			}
		}
	}
}
