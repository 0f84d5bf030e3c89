package vision

import (
	"math/rand/v2"
	"testing"
)

// Sums over squares are those of the cells one by one, at every edge, for rasters
// smaller than the square too, and where the sums of all run over.
func TestBoxes(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for _, size := range [][2]int{{1, 1}, {4, 40}, {37, 5}, {60, 50}} {
		nx, ny := size[0], size[1]
		cells, per := make([]int32, nx*ny), make([]float32, nx*ny)
		for i := range cells {
			cells[i], per[i] = random.Int32N(1<<20), random.Float32()/(1<<20)
		}
		b := NewBoxes(nx, ny, 13)
		b.Take(cells)
		small, large, between := make([]int32, nx*ny), make([]int32, nx*ny), make([]float32, nx*ny)
		for _, r := range []int{0, 3, 13} {
			b.Sum(r, large)
			for i, got := range large {
				if want := around(cells, nx, i%nx, i/nx, r); got != want {
					t.Fatalf("%d × %d, cell %d: the square of %d is %d, want %d", nx, ny, i, r, got, want)
				}
			}
		}
		b.Sum(1, small)
		const limit = 20
		b.Between(1, 13, per, per, limit, between)
		for i, got := range between {
			want := float32(small[i])*per[i] - float32(large[i])*per[i]
			if want = min(max(want, -limit), limit); got != want {
				t.Fatalf("%d × %d, cell %d: %g lies between, want %g", nx, ny, i, got, want)
			}
		}
	}
}

func around(cells []int32, nx, x0, y0, r int) (sum int32) {
	for y := max(0, y0-r); y <= y0+r && y < len(cells)/nx; y++ {
		for x := max(0, x0-r); x <= x0+r && x < nx; x++ {
			sum += cells[y*nx+x]
		}
	}
	return sum
}
