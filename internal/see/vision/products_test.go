package vision

import (
	"math/rand/v2"
	"testing"
)

// What is mixed is what plain sums make of it.
func TestMix(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	rows := make([]Banded, 9)
	for i := range rows {
		for k := range rows[i] {
			rows[i][k] = Products{random.Float64(), random.Float64(), random.Float64(), random.Float64()}
		}
	}
	mixtures := []Mixture{{5, [4]float64{0.1, -0.2, 0.3, 0.8}}, {0, [4]float64{1}}}
	sum := rows[8]
	want := sum
	for _, m := range mixtures {
		for j, w := range m.Shares {
			for k, p := range rows[int(m.From)+j] {
				want[k].AB, want[k].AA, want[k].BB, want[k].N = want[k].AB+w*p.AB, want[k].AA+w*p.AA, want[k].BB+w*p.BB, want[k].N+w*p.N
			}
		}
	}
	if got := Mix(sum, rows, mixtures); got != want {
		t.Errorf("%v, want %v", got, want)
	}
	if got := Mix(sum, rows, nil); got != sum {
		t.Errorf("nothing mixed in makes %v, want %v", got, sum)
	}
}
