package evidence

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// upright are n columns without mean, each at right angles to the others.
func upright(n, columns int) (out [][]float64) {
	random := rand.New(rand.NewPCG(2, 3))
	for range columns {
		v := make([]float64, n)
		for i := range v {
			v[i] = random.NormFloat64()
		}
		floats.AddConst(-stat.Mean(v, nil), v)
		for _, u := range out {
			floats.AddScaled(v, -floats.Dot(v, u), u)
		}
		floats.Scale(1/floats.Norm(v, 2), v)
		out = append(out, v)
	}
	return out
}

// G. W. Snedecor and W. G. Cochran, Statistical Methods: age, blood pressure and
// cholesterol of 142 women correlate by 0.3332, 0.5029 and 0.2495; without age the last is
// 0.1005 (from memory). Columns made to have these correlations stand for the women.
func TestPartialCorrelation(t *testing.T) {
	const n, ab, ac, bc = 142, 0.3332, 0.5029, 0.2495
	u := upright(n, 3)
	age := u[0]
	b, c := make([]float64, n), make([]float64, n)
	w := (bc - ab*ac) / math.Sqrt(1-ab*ab)
	for i := range n {
		b[i] = ab*u[0][i] + math.Sqrt(1-ab*ab)*u[1][i]
		c[i] = ac*u[0][i] + w*u[1][i] + math.Sqrt(1-ac*ac-w*w)*u[2][i]
	}
	close(t, "as made", stat.Correlation(b, c, nil), bc, 1e-12)
	got, known := Along(b, c, age)
	if !known || got.Clear() {
		t.Errorf("%+v, known: %v", got, known)
	}
	close(t, "without age", got.Value, 0.1005, 5e-5)
}

// M. J. Gardner and D. G. Altman, BMJ 296, 1988, 1238-1242: r = 0.7283 of 13 women, 0.30 to
// 0.91 (from memory). With a third that has nothing to do with either, one more pair gives
// the same interval.
func TestFishersInterval(t *testing.T) {
	u := upright(14, 3)
	y := make([]float64, 14)
	for i := range y {
		y[i] = 0.7283*u[0][i] + math.Sqrt(1-0.7283*0.7283)*u[1][i]
	}
	got, known := Along(u[0], y, u[2])
	if !known || !got.Clear() {
		t.Errorf("%+v, known: %v", got, known)
	}
	close(t, "value", got.Value, 0.7283, 1e-12)
	close(t, "low", got.Low, 0.30, 0.005)
	close(t, "high", got.High, 0.91, 0.005)
}

func TestCorrelationThatIsNotKnown(t *testing.T) {
	up := []float64{1, 2, 3, 4, 5, 6, 7}
	other := []float64{2, 1, 4, 3, 6, 5, 9}
	for name, c := range map[string][3][]float64{"five": {up[:5], other[:5], up[:5]}, "no change": {{3, 3, 3, 3, 3, 3, 3}, other, up}, "time itself": {up, other, up}, "uneven": {up[:6], other, up}} {
		if got, known := Along(c[0], c[1], c[2]); known {
			t.Errorf("%s: %+v", name, got)
		}
	}
	third := []float64{1, 4, 2, 8, 5, 7, 3}
	if got, known := Along(up, up, third); !known || math.IsNaN(got.Low) || got.Value < 1-1e-9 {
		t.Errorf("the same twice: %+v, %v", got, known)
	}
}

// What only comes on with time together is told to go together no more than 5 times in
// 100 (here, both grow by their own chance beside the trend).
func TestTrendIsNoCorrelation(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 21))
	const runs = 4000
	clear := 0
	for range runs {
		x, y, day := make([]float64, 10), make([]float64, 10), make([]float64, 10)
		for i := range x {
			day[i] = float64(i)
			x[i], y[i] = 40+4*day[i]+8*random.NormFloat64(), 50+3*day[i]+6*random.NormFloat64()
		}
		if got, _ := Along(x, y, day); got.Clear() {
			clear++
		}
	}
	if share := float64(clear) / runs; share < 0.035 || share > 0.065 {
		t.Errorf("a trend alone is a correlation in %.1f %%, want 5", 100*share)
	}
}
