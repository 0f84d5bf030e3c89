package stereo

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/stat"
)

// line is y = at + slope·x on a patch, mm.
type line struct{ at, slope float64 }

// from is the distance of a place from the line.
func (l line) from(p r2.Vec) float64 {
	return math.Abs(l.above(p.X, p.Y)) / math.Sqrt(1+l.slope*l.slope)
}

func (l line) above(x, y float64) float64 { return y - l.at - l.slope*x }

// straight fits a line by least squares, and once more without what lies farther
// off than twice the rms.
func straight(x, y []float64) line {
	weights := make([]float64, len(x))
	for i := range weights {
		weights[i] = 1
	}
	l := regression(x, y, weights)
	var ss float64
	for i := range x {
		ss += l.above(x[i], y[i]) * l.above(x[i], y[i])
	}
	for i := range x {
		if l.above(x[i], y[i])*l.above(x[i], y[i]) > 4*ss/float64(len(x))+1e-9 {
			weights[i] = 0
		}
	}
	return regression(x, y, weights)
}

func regression(x, y, weights []float64) line {
	if len(x) < 2 {
		return line{}
	}
	at, slope := stat.LinearRegression(x, y, weights, false)
	return line{at, slope}
}
