package coach

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// measure is one size of all pieces of a tray, in the order of their numbers,
// with its limits and the words for it. level is what scatters by the hand's
// fault alone: the values themselves, but for weights the weight at one size.
type measure struct {
	values, level  []float64
	low, aim, high float64
	name, unit     string
	explained      bool                             // another fault is the cause
	change         func() string                    // the knife's change when the mean is off
	drift          func(first, last float64) string // what to turn as the block changes
	steady         string                           // what steadies the hand
}

func lengths(ps []PieceIn, t Target, c Cut) measure {
	mean := meanPiece(ps)
	m := measure{low: t.LengthLow, aim: t.LengthAim, high: t.LengthHigh, name: "lengths", unit: "mm",
		change: func() string { return lengthText(mean, t, c) },
		drift: func(first, last float64) string {
			return "the block's width changes along it" + turn("; turn the knife as you go", first, last, func(have float64) (float64, bool) {
				return Turned(c.theta(), have, t.LengthAim, c.endWall(mean))
			})
		},
		steady: "hold the block still and cut in one stroke"}
	for _, p := range ps {
		m.values = append(m.values, p.Length)
	}
	m.level = m.values
	return m
}

func widths(ps []PieceIn, t Target, c Cut) measure {
	mean := meanPiece(ps)
	m := measure{low: t.WidthLow, aim: t.WidthAim, high: t.WidthHigh, name: "widths", unit: "mm",
		change: func() string { return widthText(mean, t, c) },
		drift: func(first, last float64) string {
			used := c.phi(PieceIn{Width: math.Max(first, last), Thickness: mean.Thickness})
			return "the block's height changes along it" + turn("; change the blade's lay as you go", first, last, func(have float64) (float64, bool) {
				return Turned(used, have, t.WidthAim, mean.wall())
			})
		},
		steady: "keep the blade at one lay from the start of the stroke to its end"}
	for _, p := range ps {
		m.values = append(m.values, p.Width)
	}
	m.level = m.values
	return m
}

func weights(ps []PieceIn, t Target, c Cut) measure {
	var known []PieceIn
	for _, p := range ps {
		if p.Weight > 0 {
			known = append(known, p)
		}
	}
	mean := meanPiece(known)
	m := measure{low: t.WeightLow, aim: t.WeightAim, high: t.WeightHigh, name: "weights at one size", unit: "g",
		explained: side(mean.Weight*mean.grow(t, c), t.WeightLow, t.WeightHigh) == 0 && mean.grow(t, c) != 1,
		change:    func() string { return weightText(mean, t, c) },
		drift:     func(float64, float64) string { return "the step between cuts changes: keep it even" },
		steady:    "keep the step between cuts even; mark it on the board"}
	grow, masked := 1.0, maskedText(mean, t, c)
	if masked != "" {
		grow, m.change = mean.grow(t, c), func() string { return masked }
	}
	for _, p := range known {
		m.values = append(m.values, p.Weight*grow)
		m.level = append(m.level, p.Weight*mean.Length*mean.Width/(p.Length*p.Width))
	}
	return m
}

// turn gives the angles at the first and the last piece that would have held
// the size, if there are such.
func turn(how string, first, last float64, angle func(have float64) (float64, bool)) string {
	a, okA := angle(first)
	b, okB := angle(last)
	if !okA || !okB {
		return how
	}
	return fmt.Sprintf("%s, from %.0f° to %.0f°", how, a, b)
}

// meanPiece has the mean sizes; its thickness is the mean of those known.
func meanPiece(ps []PieceIn) PieceIn {
	var m PieceIn
	var thick int
	for _, p := range ps {
		n := float64(len(ps))
		m.Length += p.Length / n
		m.Width += p.Width / n
		m.Area += p.Area / n
		m.Weight += p.Weight / n
		if p.Thickness > 0 {
			m.Thickness += p.Thickness
			thick++
		}
	}
	if thick > 0 {
		m.Thickness /= float64(thick)
	}
	return m
}

// tips tells a mean that is off, a drift and a scatter apart. A mean is off
// when moving it to the aim would put pieces right and it lies further from the
// aim than chance explains (2 standard errors); one that another fault explains
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
	if right > 0 && math.Abs(mean-m.aim) > 2*sd/math.Sqrt(float64(n)) {
		if m.explained {
			right = 1
		}
		out = append(out, tip{right, m.who() + m.change()})
	}
	if left := m.outside(m.level, m.aim-stat.Mean(m.level, nil)); left > 0 && n > 2 {
		out = append(out, tip{left, m.scatter()})
	}
	return out
}

// who says whether the change is for every piece or for their mean.
func (m measure) who() string {
	if slices.Max(m.values) < m.low || slices.Min(m.values) > m.high {
		return fmt.Sprintf("all %d pieces: on the mean ", len(m.values))
	}
	return "on the mean "
}

// driftMin and driftCorr: values are said to drift when at least so many
// follow their order this closely. By chance 6 values reach r = 0.9 once in
// about 70 trays (t test of a correlation). Our setting.
const (
	driftMin  = 6
	driftCorr = 0.9
)

// scatter describes values that no single change of the knife would put right.
func (m measure) scatter() string {
	low, high := slices.Min(m.level), slices.Max(m.level)
	order := make([]float64, len(m.level))
	for i := range order {
		order[i] = float64(i)
	}
	if r := stat.Correlation(order, m.level, nil); len(order) >= driftMin && math.Abs(r) > driftCorr {
		a, b := stat.LinearRegression(order, m.level, nil, false)
		first, last := a, a+b*float64(len(order)-1)
		return fmt.Sprintf("%s go from %.0f to %.0f %s in the order of the numbers: %s", m.name, first, last, m.unit, m.drift(first, last))
	}
	return fmt.Sprintf("%s differ by %.0f %s (%.0f to %.0f): %s", m.name, high-low, m.unit, low, high, m.steady)
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
