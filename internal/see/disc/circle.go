package disc

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
)

// circle is fitted by least squares; residual is the root mean square distance
// of the points from it.
type circle struct {
	centre           r2.Vec
	radius, residual float64
}

// fitCircle minimises the points' distances from a circle by Gauss-Newton,
// starting from a guess; half an arc is enough. It reports false when no circle
// fits.
func fitCircle(points []r2.Vec, guess circle) (circle, bool) {
	c := guess
	if len(points) < 8 {
		return c, false
	}
	for range 10 {
		rows := mat.NewDense(len(points), 3, nil)
		gap := mat.NewVecDense(len(points), nil)
		for i, p := range points {
			d := r2.Sub(p, c.centre)
			r := r2.Norm(d)
			if r == 0 {
				return c, false
			}
			rows.SetRow(i, []float64{d.X / r, d.Y / r, 1})
			gap.SetVec(i, r-c.radius)
		}
		var step mat.VecDense
		if err := step.SolveVec(rows, gap); err != nil {
			return c, false
		}
		c.residual = mat.Norm(gap, 2) / math.Sqrt(float64(len(points)))
		c.centre = r2.Add(c.centre, r2.Vec{X: step.AtVec(0), Y: step.AtVec(1)})
		c.radius += step.AtVec(2)
		if mat.Norm(&step, 2) < 1e-9 {
			break
		}
	}
	return c, c.radius > 0 && !math.IsInf(c.radius, 1)
}
