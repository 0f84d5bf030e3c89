package coach

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// maxTray is how many pieces of advice a person can act on at once.
const maxTray = 3

// tip is advice for the whole tray; worth counts the pieces it would put
// right.
type tip struct {
	worth int
	text  phrase.Text
}

// Tray gives the advice for the tray as a whole, at most three sentences, the
// one that puts most pieces right first. It tells a mean that is off (change
// the angle or the pitch) from sizes that scatter (steady the hand) and from
// sizes that drift in the order of the numbers (the block changes: turn the
// knife as you go). Triangular pieces count for the taper only: their width
// says nothing about the lay angle. So do a few small pieces among good ones,
// the block's ends, say nothing about the hand; where at least half are small,
// the knife is the cause.
func Tray(ps []piece.Piece, t Target, c Cut) []phrase.Text {
	ps = slices.DeleteFunc(slices.Clone(ps), func(p piece.Piece) bool { return !measurable(p) })
	if len(ps) < 2 {
		return nil
	}
	ps = heard(single(ps, t), t)
	var plain, odd []piece.Piece
	for _, p := range ps {
		_, opens := rescue(p, t, faultsOf(p, t))
		switch {
		case opens || tooSmall(p, t):
			odd = append(odd, p)
		case !p.Triangular:
			plain = append(plain, p)
		}
	}
	tips := []tip{taperTip(ps, t, c), wedgeTip(ps)}
	if 2*len(odd) < len(ps) {
		tips = append(tips, oddTip(odd, t))
	} else {
		plain = untapered(ps)
	}
	for _, m := range []measure{lengths(plain, t, c), widths(plain, t, c), weights(plain, t, c)} {
		m.whole = len(m.values) == len(ps)
		tips = append(tips, m.tips()...)
	}
	tips = append(tips, faultTips(ps)...)
	slices.SortStableFunc(tips, func(a, b tip) int { return cmp.Compare(b.worth, a.worth) })
	var out []phrase.Text
	for _, tp := range tips {
		if tp.worth > 0 && len(out) < maxTray {
			out = append(out, tp.text)
		}
	}
	return out
}

// uneven are the keys of what Tray says of sizes that differ, by measure.
var uneven = map[*piece.Measure][]string{
	piece.Length: {"lengths-scatter", "lengths-drift"},
	piece.Width:  {"widths-scatter", "widths-drift"},
}

// Within is the advice on one piece as it fits what Tray says. Where lengths or widths
// differ and the knife's change for this piece is not asked of all, it would spoil the
// others: what steadies the hand stands in its place.
func (a Advice) Within(tray []phrase.Text) phrase.Text {
	off, change := a.Text[:1], a.Text[1:]
	var steady phrase.Text
	for _, says := range tray {
		for i, clause := range says {
			switch {
			case clause.Key == off[0].Key: // the same way for the mean
				return a.Text
			case slices.Contains(uneven[a.On], clause.Key):
				steady = says[i+1:]
			}
		}
	}
	if len(steady) == 0 || len(change) == 0 || !strings.HasPrefix(off[0].Key, "off-") || change[0].Key == tapered[0].Key {
		return a.Text
	}
	for i, clause := range change {
		if clause.Key == "also" { // what the weight will be stays
			return off.And(steady, change[i:])
		}
	}
	return off.And(steady)
}

// heard leaves out weights that were only estimated from what was told of the
// whole tray, unless their mean lies beyond a limit by more than their
// uncertainty, most of which is common to all: then the mean, at least, is off.
func heard(ps []piece.Piece, t Target) []piece.Piece {
	var mean, u, n float64
	for _, p := range ps {
		if p.Weight.Estimate {
			mean, u, n = mean+p.Weight.X, u+p.Weight.U, n+1
		}
	}
	mean, u = mean/n, u/n
	if mean+u < t.WeightLow || mean-u > t.WeightHigh {
		return ps
	}
	out := slices.Clone(ps)
	for i := range out {
		out[i] = ownWeight(out[i])
	}
	return out
}

// ownWeight is p without a weight that is not its own.
func ownWeight(p piece.Piece) piece.Piece {
	if p.Weight.Estimate {
		p.Weight = piece.Value{}
	}
	return p
}

func untapered(ps []piece.Piece) []piece.Piece {
	return slices.DeleteFunc(slices.Clone(ps), func(p piece.Piece) bool { return p.Triangular })
}

// oddTip says what to do with the few pieces that are no slices as they are.
func oddTip(ps []piece.Piece, t Target) tip {
	var open, aside []float64
	for _, p := range ps {
		if tooSmall(p, t) {
			aside = append(aside, float64(p.Number))
		} else {
			open = append(open, float64(p.Number))
		}
	}
	says := named(open, "one-to-open", "some-to-open")
	if len(open) > 0 && len(aside) > 0 {
		says = says.And(phrase.Of("also"))
	}
	return tip{len(ps), says.And(named(aside, "one-aside", "some-aside"))}
}

func named(numbers []float64, one, some string) phrase.Text {
	switch len(numbers) {
	case 0:
		return nil
	case 1:
		return phrase.Of(one, numbers...)
	}
	return phrase.Of(some, numbers...)
}

// taperTip speaks for all triangular pieces at once.
func taperTip(ps []piece.Piece, t Target, c Cut) tip {
	var triangles []piece.Piece
	for _, p := range ps {
		if p.Triangular {
			triangles = append(triangles, p)
		}
	}
	if len(triangles) == 0 {
		return tip{}
	}
	var mean piece.Piece
	for _, p := range triangles {
		mean.Width.X += p.Width.X / float64(len(triangles))
		mean.Taper.X += math.Abs(p.Taper.X) / float64(len(triangles))
	}
	mean.Thickness = meanPiece(triangles).Thickness
	return tip{len(triangles), count(len(triangles), len(ps)).And(taperText(mean, t, c))}
}

func count(n, all int) phrase.Text {
	switch n {
	case all:
		return phrase.Of("triangles-all", float64(n))
	case 1:
		return phrase.Of("triangles-one", float64(all))
	}
	return phrase.Of("triangles-some", float64(n), float64(all))
}
