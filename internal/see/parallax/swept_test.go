package parallax

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// The definition: along each ray, the farthest that an edge of the face or of its
// lower edge lies, or the way of a corner from one to the other.
func sweptByAll(s Solid, face []r2.Vec) []r2.Vec {
	lower := make([]r2.Vec, len(face))
	for i, p := range face {
		lower[i] = r2.Add(p, s.run(p))
	}
	out := star{middle: mean(face, lower)}
	take := func(a, b r2.Vec) {
		a, b = r2.Sub(a, out.middle), r2.Sub(b, out.middle)
		for k, u := range directions {
			if c, d := r2.Cross(u, a), r2.Cross(u, b); c*d <= 0 && c != d {
				out.far[k] = max(out.far[k], r2.Dot(u, r2.Add(a, r2.Scale(c/(c-d), r2.Sub(b, a)))))
			}
		}
	}
	for i := range face {
		next := (i + 1) % len(face)
		take(face[i], face[next])
		take(lower[i], lower[next])
		take(face[i], lower[i])
	}
	return out.outline()
}

// What swept leaves out is no border, whatever the face's shape and however its
// height changes: ragged faces, with a waist, of even, sloping and stepped height.
func TestSweptLeavesOutNoBorder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		long, wide := rapid.Float64Range(20, 50).Draw(t, "long"), rapid.Float64Range(8, 20).Draw(t, "wide")
		waist, ragged := rapid.Float64Range(0, 0.4).Draw(t, "waist"), rapid.Float64Range(0, 0.03).Draw(t, "ragged")
		seed := rapid.Uint64().Draw(t, "seed")
		noise := rand.New(rand.NewPCG(seed, 1))
		face := star{middle: r2.Vec{X: 150, Y: 120}}
		for i := range face.far {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / rays)
			r := 1 / math.Sqrt(cos*cos/long/long+sin*sin/wide/wide)
			face.far[i] = r * (1 - waist*sin*sin) * (1 + ragged*(2*noise.Float64()-1))
		}
		angle, lean := rapid.Float64Range(0, 2*math.Pi).Draw(t, "lean direction"), rapid.Float64Range(0.01, 2).Draw(t, "lean")
		edge, slope, step := rapid.Float64Range(1, 6).Draw(t, "edge"), rapid.Float64Range(-0.05, 0.05).Draw(t, "slope"), rapid.Float64Range(0, 2).Draw(t, "step")
		s := Solid{Lean: r2.Vec{X: lean * math.Cos(angle), Y: lean * math.Sin(angle)}, Height: func(p r2.Vec) float64 {
			return math.Max(0, edge+slope*(p.X-150)-step*math.Max(0, math.Min(1, (p.Y-125)/4)))
		}}
		got, want := s.swept(face.outline()), sweptByAll(s, face.outline())
		if len(got) != len(want) {
			t.Fatalf("%d places, want %d", len(got), len(want))
		}
		for i := range got {
			if d := r2.Norm(r2.Sub(got[i], want[i])); d > 1e-6 {
				t.Fatalf("ray %d: %v, want %v: %.2g mm off", i, got[i], want[i], d)
			}
		}
	})
}
