package evidence

import "math"

// Agreement is how far two judges say the same of the same slices.
type Agreement struct {
	Slices   int
	Same     Part     // of which they say the same
	ByChance float64  // share of which they would, did each only keep the own shares
	Kappa    Interval // Cohen's: 1 is full agreement, 0 what chance gives
	SE       float64  // of Kappa
	Known    bool     // false where chance alone would agree on everything, or there is no slice
}

// Agree compares two judges' words for the same slices, pair by pair: Cohen's kappa (J.
// Cohen, Educational and Psychological Measurement 20, 1960, 37-46) with the standard
// error for large samples of J. L. Fleiss, J. Cohen and B. S. Everitt (Psychological
// Bulletin 72, 1969, 323-327). The interval is the normal one, held to at most 1; with
// fewer than some 30 slices it is rough.
func Agree[Word comparable](pairs [][2]Word) Agreement {
	out := Agreement{Slices: len(pairs), Same: Part{Of: len(pairs)}}
	cells, rows, columns := map[[2]Word]float64{}, map[Word]float64{}, map[Word]float64{}
	one := 1 / float64(len(pairs))
	for _, p := range pairs {
		cells[p] += one
		rows[p[0]] += one
		columns[p[1]] += one
		if p[0] == p[1] {
			out.Same.N++
		}
	}
	for w, share := range rows {
		out.ByChance += share * columns[w]
	}
	const whole = 1 - 1e-9 // shares are sums of many parts
	if len(pairs) == 0 || out.ByChance > whole {
		return out
	}
	out.Known = true
	same := out.Same.Share()
	kappa := (same - out.ByChance) / (1 - out.ByChance)
	var on, off float64
	for p, share := range cells {
		if p[0] == p[1] {
			a := 1 - (rows[p[0]]+columns[p[0]])*(1-kappa)
			on += share * a * a
		} else {
			b := columns[p[0]] + rows[p[1]]
			off += share * b * b
		}
	}
	last := kappa - out.ByChance*(1-kappa)
	variance := (on + (1-kappa)*(1-kappa)*off - last*last) * one / ((1 - out.ByChance) * (1 - out.ByChance))
	out.SE = math.Sqrt(math.Max(0, variance))
	out.Kappa = around(kappa, z*out.SE)
	out.Kappa.High = math.Min(1, out.Kappa.High)
	return out
}
