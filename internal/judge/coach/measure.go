package coach

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// measure is one size of all pieces of a tray, in the order of their numbers,
// with its limits and the words for it. level is what scatters by the hand's
// fault alone: the values themselves, but for weights the weight at one size.
type measure struct {
	values, level  []float64
	u              float64 // mean expanded uncertainty of the values, most of it common to all
	low, aim, high float64
	name           string                                // the key of its sentences begins with it
	whole          bool                                  // the values are those of every piece
	explained      bool                                  // another fault is the cause
	change         func() phrase.Text                    // the knife's change when the mean is off
	drift          func(first, last float64) phrase.Text // what to turn as the block changes
}

func lengths(ps []piece.Piece, t Target, c Cut) measure {
	mean := meanPiece(ps)
	m := measure{low: t.LengthLow, aim: t.LengthAim, high: t.LengthHigh, name: "lengths",
		change: func() phrase.Text { return lengthText(mean, t, c) },
		drift: func(first, last float64) phrase.Text {
			return turn("turn-on", c.planTold(), first, last, func(have float64) (float64, bool) {
				return Turned(c.theta(), have, t.LengthAim, c.endWall(mean))
			})
		}}
	return m.of(ps, func(p piece.Piece) piece.Value { return p.Length })
}

func widths(ps []piece.Piece, t Target, c Cut) measure {
	mean := meanPiece(ps)
	m := measure{low: t.WidthLow, aim: t.WidthAim, high: t.WidthHigh, name: "widths",
		change: func() phrase.Text { return widthText(mean, t, c) },
		drift: func(first, last float64) phrase.Text {
			used := c.phi(piece.Piece{Width: piece.Of(math.Max(first, last), 0), Thickness: mean.Thickness})
			return turn("lay-on", c.layTold(), first, last, func(have float64) (float64, bool) {
				return Turned(used, have, t.WidthAim, wall(mean))
			})
		}}
	return m.of(ps, func(p piece.Piece) piece.Value { return p.Width })
}

// of takes a size of each piece.
func (m measure) of(ps []piece.Piece, size func(piece.Piece) piece.Value) measure {
	for _, p := range ps {
		m.values = append(m.values, size(p).X)
		m.u += size(p).U / float64(len(ps))
	}
	m.level = m.values
	return m
}

func weights(ps []piece.Piece, t Target, c Cut) measure {
	var known []piece.Piece
	for _, p := range ps {
		if p.Weight.X > 0 {
			known = append(known, p)
		}
	}
	mean := meanPiece(known)
	m := measure{low: t.WeightLow, aim: t.WeightAim, high: t.WeightHigh, name: "weights",
		explained: side(mean.Weight.X*grow(mean, t, c), t.WeightLow, t.WeightHigh) == 0 && grow(mean, t, c) != 1,
		change:    func() phrase.Text { return weightText(mean, t, c) },
		drift:     func(float64, float64) phrase.Text { return nil }}
	right, masked := 1.0, maskedText(mean, t, c)
	if masked != nil {
		right, m.change = grow(mean, t, c), func() phrase.Text { return masked }
	}
	for _, p := range known {
		m.values = append(m.values, p.Weight.X*right)
		if p.Weight.Estimate {
			continue // estimates say nothing of how the slices differ
		}
		m.level = append(m.level, p.Weight.X*mean.Length.X*mean.Width.X/(p.Length.X*p.Width.X))
	}
	return m
}

// turn says to turn the knife as the block changes, with the angles at the first
// and the last piece that would have held the size, if there are such and the angle
// was told.
func turn(key string, told bool, first, last float64, angle func(have float64) (float64, bool)) phrase.Text {
	a, okA := angle(first)
	b, okB := angle(last)
	if !told || !okA || !okB {
		return phrase.Of(key)
	}
	return phrase.Of(key+"-from", a, b)
}

// meanPiece has the mean sizes; its thickness is the mean of those known.
func meanPiece(ps []piece.Piece) piece.Piece {
	var m piece.Piece
	var thick int
	for _, p := range ps {
		n := float64(len(ps))
		m.Length.X += p.Length.X / n
		m.Width.X += p.Width.X / n
		m.Area.X += p.Area.X / n
		m.Weight.X += p.Weight.X / n
		if p.Thickness.X > 0 {
			m.Thickness.X += p.Thickness.X
			thick++
		}
	}
	if thick > 0 {
		m.Thickness.X /= float64(thick)
	}
	return m
}

// tips tells a mean that is off, a drift and a scatter apart. A mean is off
// when moving it to the aim would put pieces right and it lies further from the
// aim than chance explains (2 standard errors) and than it is known; one that another fault explains
// asks for no change of its own and is said last. What stays outside the limits
// after that move is drift or scatter.
func (m measure) tips() []tip {
	n := len(m.values)
	if n < 2 {
		return nil
	}
	var out []tip
	mean, sd := stat.MeanStdDev(m.values, nil)
	right := m.outside(m.values, 0) - m.outside(m.values, m.aim-mean)
	if right > 0 && math.Abs(mean-m.aim) > math.Max(m.u, 2*sd/math.Sqrt(float64(n))) {
		if m.explained {
			right = 1
		}
		out = append(out, tip{right, m.who().And(m.change())})
	}
	if len(m.level) <= 2 {
		return out
	}
	if left := m.outside(m.level, m.aim-stat.Mean(m.level, nil)); left > 0 {
		out = append(out, tip{left, m.scatter()})
	}
	return out
}

// who says whether the change is for every piece or for their mean.
func (m measure) who() phrase.Text {
	if !m.whole {
		return phrase.Of("who-mean")
	}
	if slices.Max(m.values) < m.low || slices.Min(m.values) > m.high {
		return phrase.Of("who-all", float64(len(m.values)))
	}
	return phrase.Of("who-mean")
}

// driftMin and driftCorr: values are said to drift when at least so many
// follow their order this closely. By chance 6 values reach r = 0.9 once in
// about 70 trays (t test of a correlation). Our setting.
const (
	driftMin  = 6
	driftCorr = 0.9
)

// scatter describes values that no single change of the knife would put right.
func (m measure) scatter() phrase.Text {
	low, high := slices.Min(m.level), slices.Max(m.level)
	order := make([]float64, len(m.level))
	for i := range order {
		order[i] = float64(i)
	}
	if r := stat.Correlation(order, m.level, nil); len(order) >= driftMin && math.Abs(r) > driftCorr {
		a, b := stat.LinearRegression(order, m.level, nil, false)
		first, last := a, a+b*float64(len(order)-1)
		return phrase.Of(m.name+"-drift", first, last).And(m.drift(first, last))
	}
	return phrase.Of(m.name+"-scatter", high-low, low, high).And(phrase.Of(m.name + "-steady"))
}

// outside counts the values beyond the limits once moved by shift.
func (m measure) outside(values []float64, shift float64) int {
	var n int
	for _, v := range values {
		if side(v+shift, m.low, m.high) != 0 {
			n++
		}
	}
	return n
}
