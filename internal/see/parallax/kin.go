package parallax

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Kin is a slice that may be of the same block: the outward normals of a long
// side and of an end, its leans, and how much alike it is, 0 to 1.
type Kin struct {
	N, M  r2.Vec
	Leans []Likely
	Alike float64
}

// How much slices of one block are alike, and how often slices that look alike
// are of one block. Our settings.
const (
	handLean = 0.12 // by how much the lean differs from slice to slice
	ofABlock = 0.8
	kinCells = 48
)

// Shared is what the other slices of a tray tell of one whose long side faces
// along n and whose end faces along m. Slices of one block lean alike, but for
// how they are turned and which face lies down: so what they share are the leans
// of the long and of the end walls without their signs.
func Shared(n, m r2.Vec, kin []Kin) Tells {
	var table [kinCells][kinCells]float64
	var alike float64
	for _, k := range kin {
		alike += k.Alike
		for _, l := range k.Leans {
			spread(&table, math.Abs(r2.Dot(l.Lean, k.N))/leanStep, math.Abs(r2.Dot(l.Lean, k.M))/leanStep, k.Alike*l.Share)
		}
	}
	if alike == 0 {
		return func(r2.Vec) float64 { return 0 }
	}
	block := ofABlock * alike / (alike + 1)
	other := math.Log(1 - block)
	return func(lean r2.Vec) float64 {
		a, b := r2.Dot(lean, n), r2.Dot(lean, m)
		i, j := int(math.Abs(a)/leanStep+0.5), int(math.Abs(b)/leanStep+0.5)
		if i >= kinCells || j >= kinCells || table[i][j] == 0 {
			return other
		}
		usual := 4 * wall(a) * wall(b) // of both leans without their signs
		return math.Log(1 - block + block*table[i][j]/alike/usual)
	}
}

// spread adds a hill of a weight around a place, in cells, to a table of
// densities; what falls below 0 is mirrored, since signs don't count.
func spread(table *[kinCells][kinCells]float64, x, y, weight float64) {
	const sd = handLean / leanStep
	const reach = int(3 * sd)
	line := func(at float64) (from int, w [2*reach + 1]float64) {
		from = int(math.Round(at)) - reach
		for k := range w {
			w[k] = normal(float64(from+k)-at, sd) / leanStep
		}
		return from, w
	}
	fx, wx := line(x)
	fy, wy := line(y)
	for i, a := range wx {
		for j, b := range wy {
			if i, j := max(fx+i, -fx-i), max(fy+j, -fy-j); i < kinCells && j < kinCells {
				table[i][j] += weight * a * b
			}
		}
	}
}
