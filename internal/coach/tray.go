package coach

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// maxTray is how many pieces of advice a person can act on at once.
const maxTray = 3

// tip is advice for the whole tray; worth counts the pieces it would put
// right.
type tip struct {
	worth int
	text  string
}

// Tray gives the advice for the tray as a whole, at most three sentences, the
// one that puts most pieces right first. It tells a mean that is off (change
// the angle or the pitch) from sizes that scatter (steady the hand) and from
// sizes that drift in the order of the numbers (the block changes: turn the
// knife as you go). Triangular pieces count for the taper only: their width
// says nothing about the lay angle.
func Tray(ps []PieceIn, t Target, c Cut) []string {
	if len(ps) < 2 {
		return nil
	}
	var plain []PieceIn
	for _, p := range ps {
		if !p.Triangular {
			plain = append(plain, p)
		}
	}
	tips := []tip{taperTip(ps, t, c)}
	for _, m := range []measure{lengths(plain, t, c), widths(plain, t, c), weights(plain, t, c)} {
		tips = append(tips, m.tips()...)
	}
	slices.SortStableFunc(tips, func(a, b tip) int { return cmp.Compare(b.worth, a.worth) })
	var out []string
	for _, tp := range tips {
		if tp.worth > 0 && len(out) < maxTray {
			out = append(out, tp.text)
		}
	}
	return out
}

// taperTip speaks for all triangular pieces at once.
func taperTip(ps []PieceIn, t Target, c Cut) tip {
	var triangles []PieceIn
	for _, p := range ps {
		if p.Triangular {
			triangles = append(triangles, p)
		}
	}
	if len(triangles) == 0 {
		return tip{}
	}
	var mean PieceIn
	for _, p := range triangles {
		mean.Width += p.Width / float64(len(triangles))
		mean.Taper += math.Abs(p.Taper) / float64(len(triangles))
	}
	return tip{len(triangles), fmt.Sprintf("%s triangular; on the mean %s", count(len(triangles), len(ps)), taperText(mean, t, c))}
}

func count(n, all int) string {
	if n == all {
		return fmt.Sprintf("all %d pieces are", n)
	}
	if n == 1 {
		return fmt.Sprintf("1 of %d pieces is", all)
	}
	return fmt.Sprintf("%d of %d pieces are", n, all)
}
