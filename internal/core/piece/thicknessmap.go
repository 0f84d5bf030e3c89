package piece

import "math"

// ThicknessMap is a slice's thickness all over, in cells whose rows run along
// its long axis: the centre of the first cell and the steps to the next one along
// and across, in the mat frame; nil where the cell does not lie on the slice.
type ThicknessMap struct {
	First     [2]float64   `json:"first_mm"`
	Along     [2]float64   `json:"along_mm"`
	Across    [2]float64   `json:"across_mm"`
	Thickness [][]*float64 `json:"thickness_mm"`
}

// At is the place of a cell, mm of the mat frame.
func (m *ThicknessMap) At(col, row float64) [2]float64 {
	return [2]float64{m.First[0] + col*m.Along[0] + row*m.Across[0], m.First[1] + col*m.Along[1] + row*m.Across[1]}
}

// endShare is how much of a slice's length counts as its end.
const endShare = 0.2

// End is one end of a slice: the middle of its cells and their mean, mm.
type End struct {
	At   [2]float64
	Mean float64
}

// Ends are the first and the last fifth of the slice's length; fewer where the map
// is too small to tell, or none.
func (m *ThicknessMap) Ends() []End {
	if m == nil {
		return nil
	}
	first, last := m.reach()
	part := endShare * float64(last-first+1)
	var out []End
	for _, in := range []func(col int) bool{
		func(col int) bool { return float64(col-first) < part },
		func(col int) bool { return float64(last-col) < part },
	} {
		var e End
		var n float64
		for row, cells := range m.Thickness {
			for col, t := range cells {
				if t != nil && in(col) {
					at := m.At(float64(col), float64(row))
					e.At[0], e.At[1], e.Mean, n = e.At[0]+at[0], e.At[1]+at[1], e.Mean+*t, n+1
				}
			}
		}
		if n > 0 {
			out = append(out, End{[2]float64{e.At[0] / n, e.At[1] / n}, e.Mean / n})
		}
	}
	return out
}

// reach is the first and the last column with a cell on the slice.
func (m *ThicknessMap) reach() (first, last int) {
	first = math.MaxInt
	for _, cells := range m.Thickness {
		for col, t := range cells {
			if t != nil {
				first, last = min(first, col), max(last, col)
			}
		}
	}
	return first, last
}
