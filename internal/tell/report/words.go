package report

import (
	"fmt"
	"strconv"
	"strings"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
)

// Caution is the short reminder under every result that a person reads.
const Caution = "A photo shows nothing of parasites or freshness. Keep the fish cold and follow your local food code. Put the knife down before you touch the phone."

// Cautions is the full list, for a page. Temperatures and times are left to the
// local food code; the US FDA Food Code, for one, asks for 5 °C or less
// (3-501.16), and forbids absorbent food-contact surfaces (4-101.11).
var Cautions = []string{
	"The printed mat is not a surface for food: lay a clear food-grade sheet over it, one for each batch, and keep coins and cards off it.",
	"Take the photo quickly and put the fish back in the cold. This program keeps no record of temperature and proves nothing about safety.",
	"A photo shows nothing of parasites, freshness or whether fish was frozen. Follow your local food code and the people licensed to apply it.",
	"A phone is not clean: wash your hands between phone and fish. Mind allergens when species share a board.",
	"Knife angles are a plan, not something to follow with your eyes on a screen. Put the knife down before you touch the phone.",
}

// NoThickness says what is missing for a weight.
const NoThickness = "no weight without a thickness: measure a slice and enter it in mm, such as --thickness 4.1 for the tray or --thickness 1:4.2,2:3.9 by piece"

// Cell is a measure as people read it under its head.
func Cell(p piece.Piece, m *piece.Measure) string {
	s := m.In(*m.Of(&p))
	if m.Unit == piece.Share && m.Of(&p).Known {
		s += m.Unit.Sign
	}
	return s
}

// stateText says why a piece has no numbers.
func stateText(p piece.Piece) string {
	if p.Reason != "" {
		return p.Reason
	}
	switch p.State {
	case piece.CutOff:
		return "runs off the field"
	case piece.Touching:
		return "touches its neighbour and could not be told apart"
	case piece.Foreign:
		return "is not a slice"
	}
	return string(p.State)
}

// verdictWord is the verdict so that a failure stands out in plain text.
func verdictWord(v piece.Verdict) string {
	if v == piece.Fail {
		return "FAIL"
	}
	return string(v)
}

// sideWord is "low" or "high", in capitals when certain, with a question mark when
// not.
func sideWord(f piece.Fault) string {
	word := map[piece.Side]string{piece.TooLittle: "low", piece.TooMuch: "high"}[f.Side()]
	if f.Unsure {
		return word + "?"
	}
	return strings.ToUpper(word)
}

// sentence says what was measured and what the house asks.
func sentence(f piece.Fault) string {
	switch m := f.Of(); {
	case f.What == piece.NoKoba && f.Unsure:
		return "the step (koba) along the edge could not be judged, the house asks for one"
	case f.What == piece.NoKoba:
		return "no step (koba) along the edge, the house asks for one"
	case m == nil:
		return f.What
	}
	s := opening(f) + ", the house asks " + limits(f)
	if f.Unsure {
		s += "; too close to call"
	}
	return s
}

// opening names the measure with its value or, of rice that is seen to stay bare,
// the reason.
func opening(f piece.Fault) string {
	m := f.Of()
	value := faultNumber(f) + m.Unit.Sign
	switch {
	case m != piece.Cover:
		return m.Name() + " " + value
	case f.What == m.Key:
		return "covers " + value + " of the rice"
	}
	return f.What + ", covers " + value + " of the rice"
}

// limits says what the house asks.
func limits(f piece.Fault) string { return Limits(f.Of(), f.Low, f.High) }

// Limits are what a house asks of a measure, as the house wrote them.
func Limits(m *piece.Measure, low, high *float64) string {
	switch {
	case low != nil && high != nil:
		return limitText(m, *low) + " to " + limitText(m, *high) + m.Unit.Sign
	case low != nil:
		return limitText(m, *low) + m.Unit.Sign + " or more"
	case high != nil:
		return limitText(m, *high) + m.Unit.Sign + " or less"
	}
	return "otherwise"
}

// faultNumber has the digits of its measure, or as many as keep it apart from its
// limit.
func faultNumber(f piece.Fault) string {
	m := f.Of()
	v := f.Measured * m.Unit.Scale
	for digits := m.Digits; digits < 3; digits++ {
		s := uncertainty.Decimal(v, digits)
		if !sameAsLimit(f, s) {
			return s
		}
	}
	return uncertainty.Decimal(v, 3)
}

func sameAsLimit(f piece.Fault, s string) bool {
	shown, _ := strconv.ParseFloat(s, 64)
	for _, l := range []*float64{f.Low, f.High} {
		if l != nil && uncertainty.Round(*l*f.Of().Unit.Scale, 3) == shown {
			return true
		}
	}
	return false
}

// limitText is a limit as the house wrote it: 75, 7.5, 97.
func limitText(m *piece.Measure, v float64) string {
	return strconv.FormatFloat(uncertainty.Round(v*m.Unit.Scale, 3), 'f', -1, 64)
}

// weightLacking reports whether a measured piece has no weight.
func weightLacking(r piece.Tray) bool {
	for _, p := range r.MeasuredPieces() {
		if !p.Weight.Known {
			return true
		}
	}
	return false
}

// largestShare is the input that the weights' intervals mostly come from, by
// the mean of its parts over the pieces.
func largestShare(r piece.Tray) (uncertainty.Share, bool) {
	parts, shares, n := map[string]float64{}, map[string]uncertainty.Share{}, 0
	for _, p := range r.MeasuredPieces() {
		if len(p.WeightBudget) > 0 {
			n++
		}
		for _, s := range p.WeightBudget {
			parts[s.Source] += s.Part
			shares[s.Source] = s
		}
	}
	var best uncertainty.Share
	for source, sum := range parts {
		if sum/float64(n) > best.Part || sum/float64(n) == best.Part && source < best.Source {
			best = shares[source]
			best.Part = sum / float64(n)
		}
	}
	return best, best.Part > 0
}

// weightNote says where the weights' intervals come from and what would shrink
// them, or what to enter when there is no weight.
func weightNote(r piece.Tray) string {
	if weightLacking(r) {
		return NoThickness
	}
	s, ok := largestShare(r)
	if !ok {
		return ""
	}
	note := fmt.Sprintf("%s %% of the weight's interval comes from the %s", uncertainty.Decimal(100*s.Part, 0), s.Source)
	if s.Remedy != "" {
		note += ": " + s.Remedy
	}
	return note
}

// trayText is the tally in one line.
func trayText(t piece.Tally) string {
	s := fmt.Sprintf("%d measured: %d pass, %d fail, %d unsure", t.Measured, t.Passed, t.Failed, t.Unsure)
	if t.Measured > 0 {
		s += fmt.Sprintf(". Mean %s × %s mm (sd %s × %s)",
			uncertainty.Decimal(t.MeanLength, 1), uncertainty.Decimal(t.MeanWidth, 1), uncertainty.Decimal(t.SpreadLength, 1), uncertainty.Decimal(t.SpreadWidth, 1))
	}
	if t.MeanWeight != nil {
		s += ", " + uncertainty.Decimal(*t.MeanWeight, 1) + " g"
	}
	if t.TotalWeight != nil {
		s += ", together " + uncertainty.Decimal(*t.TotalWeight, 1) + " g"
	}
	return s
}

// matText is how well the mat was seen, in one line.
func matText(m piece.Mat) string {
	return fmt.Sprintf("mat %s, %d of %d tags, residual %s mm, %s px/mm, tilt %s°, camera %s mm above",
		m.Name, m.TagsSeen, m.TagsTotal, uncertainty.Decimal(m.ResidualMM, 2), uncertainty.Decimal(m.PxPerMM, 1), uncertainty.Decimal(m.TiltDeg, 1), uncertainty.Decimal(m.CameraHeightMM, 0))
}
