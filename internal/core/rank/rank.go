// Package rank picks a value by its rank without putting all in order.
package rank

import "cmp"

// Nth is the value that would stand at a place if the values were in order; it moves
// them about (Hoare 1961).
func Nth[T cmp.Ordered](v []T, place int) T {
	from, to := 0, len(v)-1
	for from < to {
		pivot, i, j := v[(from+to)/2], from, to
		for i <= j {
			for v[i] < pivot {
				i++
			}
			for v[j] > pivot {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case place <= j:
			to = j
		case place >= i:
			from = i
		default:
			return v[place]
		}
	}
	return v[place]
}
