package segment

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/rank"
)

// roughHalf is how many points to either side of one a parabola is laid through.
const roughHalf = 8

// rough is the robust standard deviation of an evenly spaced outline about parabolas laid
// along it (Savitzky and Golay 1964), mm: fish is cut smooth, so it tells how well the
// edge was seen.
func rough(outline []r2.Vec) float64 {
	pts := normals(outline)
	n := len(pts)
	off := make([]float64, n)
	for i, p := range pts {
		fit := r2.Vec{}
		for k := -roughHalf; k <= roughHalf; k++ {
			fit = r2.Add(fit, r2.Scale(parabola[k+roughHalf], pts[((i+k)%n+n)%n].at))
		}
		off[i] = math.Abs(r2.Dot(r2.Sub(p.at, fit), p.normal))
	}
	return rank.Median(off) / 0.6745 // median of the absolute value of a normal deviate
}

// parabola are the weights of the points about one in the middle of the parabola laid
// through them.
var parabola = func() (w [2*roughHalf + 1]float64) {
	const m = roughHalf
	for k := -m; k <= m; k++ {
		w[k+m] = 3 * float64(3*m*m+3*m-1-5*k*k) / float64((2*m+3)*(2*m+1)*(2*m-1))
	}
	return w
}()
