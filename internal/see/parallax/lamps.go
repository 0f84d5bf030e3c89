package parallax

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
)

// Shaded is a slice with the mat's shades beside it, as an eye sees it: the height of
// its upper edge, mm, and the leans that its walls may have.
type Shaded struct {
	Shades []Shade
	Eye    Eye
	Height float64
	Leans  []Likely
}

// Lamps is the light that falls on all slices of a tray.
//
// Beside a long upper edge of height h, seen from a place d off, the mat loses the light
// that comes from below the elevation atan(h/d). With c = d/√(d² + h²), its cosine, that
// is (1 - c)/2 of an even sky's, the view factor of a wall (Howell, Menguc and Siegel,
// Thermal Radiation Heat Transfer, from memory), and (1 - c²)/2 for light as strong as
// the sine of its angle from the zenith. A tray has a share of either, and since lamps
// stand on one side more than on another, each share has a slope, a vector: six
// coefficients, which are normally distributed, first as trays are, then by what is seen.
type Lamps struct {
	slices  []Shaded
	lessons [][]lesson // by slices and shades
}

const coefficients = 6

// How light varies from tray to tray: the mean of both shares, and covariances of the
// shares and of either component of their slopes, by 49 rendered trays with their leans
// known.
var (
	meanShare = [2]float64{-0.37, 0.03}
	shareVar  = [2][2]float64{{0.040, -0.028}, {-0.028, 0.021}}
	slopeVar  = [2][2]float64{{0.060, -0.025}, {-0.025, 0.016}}
)

// fitRounds are those in which shades that fit badly lose weight.
const fitRounds = 3

// LampsOf learns the light from all slices of a tray.
func LampsOf(slices []Shaded) Lamps {
	l := Lamps{slices, make([][]lesson, len(slices))}
	for k, s := range slices {
		for _, shade := range s.Shades {
			l.lessons[k] = append(l.lessons[k], s.lesson(shade))
		}
	}
	for range fitRounds {
		light, ok := l.light(-1)
		if !ok {
			break
		}
		for k, s := range slices {
			for i := range l.lessons[k] {
				t := &l.lessons[k][i]
				mean, _ := light.from(s.Shades[i].Normal)
				t.counts = (shadeFreedom + distances) / (shadeFreedom + square(t.off(&t.lost, mean)))
			}
		}
	}
	return l
}

// light is how the coefficients are distributed.
type light struct {
	mean [coefficients]float64
	cov  mat.SymDense
}

// light is that by the shades of all slices but one; false where rounding leaves none.
func (l Lamps) light(without int) (light, bool) {
	info, sum := usual()
	for k, s := range l.slices {
		if k == without {
			continue
		}
		for i, t := range l.lessons[k] {
			to := reaches(s.Shades[i].Normal)
			for d := range distances {
				var row [coefficients]float64
				for c := range row {
					row[c] = t.lost[d][c%2] * to[c/2]
				}
				v := mat.NewVecDense(coefficients, row[:])
				info.SymRankOne(info, t.counts, v)
				sum.AddScaledVec(sum, t.counts*t.dark[d], v)
			}
		}
	}
	var root mat.Cholesky
	var out light
	if !root.Factorize(info) || root.InverseTo(&out.cov) != nil {
		return out, false
	}
	var mean mat.VecDense
	mean.MulVec(&out.cov, sum)
	copy(out.mean[:], mean.RawVector().Data)
	return out, true
}

// reaches is how far the coefficients, by pairs, count beside a side: a share, and a
// slope along either axis.
func reaches(normal r2.Vec) [3]float64 { return [3]float64{1, normal.X, normal.Y} }

// usual is the information that trays as they are bring, and it times the mean.
func usual() (*mat.SymDense, *mat.VecDense) {
	cov := mat.NewSymDense(coefficients, nil)
	for c, v := range [3][2][2]float64{shareVar, slopeVar, slopeVar} {
		for i := range 2 {
			for j := range 2 {
				cov.SetSym(2*c+i, 2*c+j, v[i][j])
			}
		}
	}
	var root mat.Cholesky
	root.Factorize(cov)
	info := mat.NewSymDense(coefficients, nil)
	if err := root.InverseTo(info); err != nil {
		panic(err) // of constants
	}
	sum := mat.NewVecDense(coefficients, nil)
	sum.MulVec(info, mat.NewVecDense(coefficients, []float64{meanShare[0], meanShare[1], 0, 0, 0, 0}))
	return info, sum
}

// from is the light that a side takes away: both kinds of it, and their covariance.
func (l light) from(normal r2.Vec) (mean [2]float64, cov [2][2]float64) {
	to := reaches(normal)
	for a := range coefficients {
		mean[a%2] += to[a/2] * l.mean[a]
		for b := range coefficients {
			cov[a%2][b%2] += to[a/2] * to[b/2] * l.cov.At(a, b)
		}
	}
	return mean, cov
}

// Tells is what the shades beside a slice tell of its leans, by the light that the
// other slices tell.
func (l Lamps) Tells(slice int) Tells {
	s := l.slices[slice]
	light, ok := l.light(slice)
	if !ok {
		return func(r2.Vec) float64 { return 0 }
	}
	tables := make([][]float64, len(s.Shades))
	for i, shade := range s.Shades {
		tables[i] = s.odds(shade, l.lessons[slice][i], light)
	}
	return func(lean r2.Vec) (sum float64) {
		for i, t := range tables {
			x := (r2.Dot(lean, s.Shades[i].Normal) - shadeFrom) / shadeStep
			k := max(0, min(len(t)-2, int(x)))
			f := max(0, min(1, x-float64(k)))
			sum += (1-f)*t[k] + f*t[k+1]
		}
		return sum
	}
}

// Shades are weighed at leans so far apart, from one that no eye can see any wall with.
const (
	shadeFrom  = -1.2
	shadeStep  = 2 * leanStep
	shadeLeans = 45
)

// odds are the log odds of a side's leans by its shade.
//
// What it lies off by has the covariance 1 + B·Q·Bᵀ, Q being that of the light and B what
// is lost of it: by Woodbury's identity and Sylvester's nothing larger than 2 × 2 is
// inverted.
func (s Shaded) odds(shade Shade, t lesson, l light) []float64 {
	mean, q := l.from(shade.Normal)
	out := make([]float64, shadeLeans)
	for k := range out {
		lost := s.lost(shade, shadeFrom+shadeStep*float64(k))
		e := t.off(&lost, mean)
		var b [2]float64    // Bᵀe
		var g [2][2]float64 // BᵀB
		for d := range distances {
			for i := range 2 {
				b[i] += lost[d][i] * e[d]
				for j := range 2 {
					g[i][j] += lost[d][i] * lost[d][j]
				}
			}
		}
		// e'(1 + BQB')⁻¹e = e'e - b'(Q⁻¹ + G)⁻¹b = e'e - b'(1 + QG)⁻¹Qb
		var m [2][2]float64 // 1 + QG
		for i := range 2 {
			m[i][i] = 1
			for j := range 2 {
				m[i][j] += q[i][0]*g[0][j] + q[i][1]*g[1][j]
			}
		}
		det := m[0][0]*m[1][1] - m[0][1]*m[1][0]
		qb := [2]float64{q[0][0]*b[0] + q[0][1]*b[1], q[1][0]*b[0] + q[1][1]*b[1]}
		less := (b[0]*(m[1][1]*qb[0]-m[0][1]*qb[1]) + b[1]*(m[0][0]*qb[1]-m[1][0]*qb[0])) / det
		out[k] = -shadeCounts / 2 * ((shadeFreedom+distances)*math.Log1p((square(e)-less)/shadeFreedom) + math.Log(det))
	}
	return out
}
