package parallax

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// darkness is how much of the face's light is missing beside an edge where so many mm of
// a wall are seen: its median over the sides of slices on rendered trays, and how far it
// lies off. Where no wall is seen nothing is missing; a narrow one is darker than the face,
// which is too far off to be looked at where the wall is wide.
var darkness = [...]struct{ wide, dark, off float64 }{
	{-1.5, 0.015, 0.045}, {-0.25, 0.01, 0.032}, {0, 0.025, 0.036}, {0.1, 0.05, 0.045}, {0.25, 0.09, 0.050}, {0.4, 0.135, 0.060}, {0.6, 0.185, 0.065},
	{0.8, 0.195, 0.075}, {1.0, 0.19, 0.090}, {1.3, 0.16, 0.095}, {1.6, 0.11, 0.085}, {2.0, 0.03, 0.050}, {2.4, 0.01, 0.035},
}

// Darkness lies off with long tails, Student's t of darkFreedom degrees: a lamp lights
// some walls. How much it counts was set looking at rendered trays.
const (
	darkFreedom = 3
	darkCounts  = 0.5
	darkStep    = 0.02 // mm
)

// Dark is what the light missing beside an edge tells of a wall whose upper edge lies at a
// height: it needs no wall wide enough for its upper edge to be seen, as Light does.
func Dark(s Side, eye Eye, height float64) Tells {
	if math.IsNaN(s.Dark) {
		return func(r2.Vec) float64 { return 0 }
	}
	first, last := darkness[0].wide, darkness[len(darkness)-1].wide
	odds := make([]float64, int((last-first)/darkStep)+2)
	k := 0
	for i := range odds {
		wide := first + float64(i)*darkStep
		for k+2 < len(darkness) && wide > darkness[k+1].wide {
			k++
		}
		a, b := darkness[k], darkness[k+1]
		f := math.Min(1, (wide-a.wide)/(b.wide-a.wide))
		off := a.off + f*(b.off-a.off)
		z := (s.Dark - a.dark - f*(b.dark-a.dark)) / off
		odds[i] = -darkCounts * ((darkFreedom+1)/2.0*math.Log1p(z*z/darkFreedom) + math.Log(off))
	}
	moved := s.moved(eye, height)
	return func(lean r2.Vec) float64 {
		x := (height*r2.Dot(lean, s.Normal) - moved - first) / darkStep
		x = math.Max(0, math.Min(float64(len(odds)-1), x))
		i := min(int(x), len(odds)-2)
		return odds[i] + (x-float64(i))*(odds[i+1]-odds[i])
	}
}

// moved is how much farther from below the eye the upper edge lands than it lies, along
// the side's normal, mm.
func (s Side) moved(eye Eye, height float64) float64 {
	return height / (eye.Height - height) * r2.Dot(r2.Sub(s.Mid, eye.Foot), s.Normal)
}
