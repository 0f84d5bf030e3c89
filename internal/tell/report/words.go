package report

import (
	"fmt"
	"strconv"
	"strings"
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

// People read lengths to 0.1 mm, weights to 0.1 g, areas to 1 mm² and cover to
// 0.1 %, each ± its interval, which is rounded up.
func decimal(v float64, digits int) string {
	return strconv.FormatFloat(roundTo(v, digits), 'f', digits, 64)
}

func plusMinus(v, u float64, digits int) string {
	return decimal(v, digits) + " ± " + strconv.FormatFloat(roundUpTo(u, digits), 'f', digits, 64)
}

func lengthText(p Piece) string { return plusMinus(p.Length, p.LengthU, 1) }
func widthText(p Piece) string  { return plusMinus(p.Width, p.WidthU, 1) }
func areaText(p Piece) string   { return plusMinus(p.Area, p.AreaU, 0) }
func coverText(p Piece) string  { return decimal(100*p.RiceCover, 1) + " %" }

func weightText(p Piece) string {
	switch {
	case p.Weight == nil:
		return "–"
	case p.WeightU == nil:
		return decimal(*p.Weight, 1)
	}
	return plusMinus(*p.Weight, *p.WeightU, 1)
}

// stateText says why a piece has no numbers.
func stateText(p Piece) string {
	if p.Reason != "" {
		return p.Reason
	}
	switch p.State {
	case PieceCutOff:
		return "runs off the field"
	case PieceTouching:
		return "touches its neighbour and could not be told apart"
	case PieceForeign:
		return "is not a slice"
	}
	return string(p.State)
}

// verdictWord is the verdict so that a failure stands out in plain text.
func verdictWord(v Verdict) string {
	if v == Fail {
		return "FAIL"
	}
	return string(v)
}

// isCover reports whether a fault is about rice left bare.
func (f Fault) isCover() bool {
	return f.What == "triangular" || f.What == "small" || f.What == "ragged"
}

// side is "low" or "high", in capitals when certain, with a question mark when not.
func (f Fault) side() string {
	word := "low"
	if f.High != nil && f.Measured > *f.High {
		word = "high"
	}
	if f.Unsure {
		return word + "?"
	}
	return strings.ToUpper(word)
}

// faultOn finds the fault about one column of the table; "cover" stands for all
// reasons why rice stays bare.
func faultOn(p Piece, column string) (Fault, bool) {
	for _, f := range p.Faults {
		if f.What == column || column == "cover" && f.isCover() {
			return f, true
		}
	}
	return Fault{}, false
}

// sentence says what was measured and what the house asks.
func (f Fault) sentence() string {
	var s string
	switch f.What {
	case "length", "width":
		s = fmt.Sprintf("%s %s mm, the house asks %s", f.What, f.number(f.Measured), f.limits(" mm"))
	case "weight":
		s = fmt.Sprintf("weight %s g, the house asks %s", f.number(f.Measured), f.limits(" g"))
	case "triangular", "small", "ragged":
		s = fmt.Sprintf("%s, covers %s %% of the rice, the house asks %s", f.What, f.number(f.Measured), f.limits(" %"))
	case "koba":
		s = "no step (koba) along the edge, the house asks for one"
		if f.Unsure {
			return "the step (koba) along the edge could not be judged, the house asks for one"
		}
	default:
		s = fmt.Sprintf("%s %s, the house asks %s", f.What, f.number(f.Measured), f.limits(""))
	}
	if f.Unsure {
		s += "; too close to call"
	}
	return s
}

func (f Fault) limits(unit string) string {
	switch {
	case f.Low != nil && f.High != nil:
		return f.limit(*f.Low) + " to " + f.limit(*f.High) + unit
	case f.Low != nil:
		return f.limit(*f.Low) + unit + " or more"
	case f.High != nil:
		return f.limit(*f.High) + unit + " or less"
	}
	return "otherwise"
}

// number shows one digit, or as many as keep a value apart from its limit.
func (f Fault) number(v float64) string {
	v *= f.scale()
	for digits := 1; digits < 3; digits++ {
		s := decimal(v, digits)
		if !f.sameAsLimit(s) {
			return s
		}
	}
	return decimal(v, 3)
}

func (f Fault) sameAsLimit(s string) bool {
	shown, _ := strconv.ParseFloat(s, 64)
	for _, l := range []*float64{f.Low, f.High} {
		if l != nil && roundTo(*l*f.scale(), 3) == shown {
			return true
		}
	}
	return false
}

// limit is written as the house wrote it: 75, 7.5, 97.
func (f Fault) limit(v float64) string {
	return strconv.FormatFloat(roundTo(v*f.scale(), 3), 'f', -1, 64)
}

// scale turns a share into percent.
func (f Fault) scale() float64 {
	if f.isCover() {
		return 100
	}
	return 1
}

// weightLacking reports whether a measured piece has no weight.
func weightLacking(r Report) bool {
	for _, p := range r.MeasuredPieces() {
		if p.Weight == nil {
			return true
		}
	}
	return false
}

// largestShare is the input that the weights' intervals mostly come from, by
// the mean of its parts over the pieces.
func largestShare(r Report) (Share, bool) {
	parts, shares, n := map[string]float64{}, map[string]Share{}, 0
	for _, p := range r.MeasuredPieces() {
		if len(p.WeightBudget) > 0 {
			n++
		}
		for _, s := range p.WeightBudget {
			parts[s.Source] += s.Part
			shares[s.Source] = s
		}
	}
	var best Share
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
func weightNote(r Report) string {
	if weightLacking(r) {
		return NoThickness
	}
	s, ok := largestShare(r)
	if !ok {
		return ""
	}
	note := fmt.Sprintf("%s %% of the weight's interval comes from the %s", decimal(100*s.Part, 0), s.Source)
	if s.Remedy != "" {
		note += ": " + s.Remedy
	}
	return note
}

// trayText is the tally in one line.
func trayText(t Tray) string {
	s := fmt.Sprintf("%d measured: %d pass, %d fail, %d unsure", t.Measured, t.Passed, t.Failed, t.Unsure)
	if t.Measured > 0 {
		s += fmt.Sprintf(". Mean %s × %s mm (sd %s × %s)",
			decimal(t.MeanLength, 1), decimal(t.MeanWidth, 1), decimal(t.SpreadLength, 1), decimal(t.SpreadWidth, 1))
	}
	if t.MeanWeight != nil {
		s += ", " + decimal(*t.MeanWeight, 1) + " g"
	}
	if t.TotalWeight != nil {
		s += ", together " + decimal(*t.TotalWeight, 1) + " g"
	}
	return s
}

// matText is how well the mat was seen, in one line.
func matText(m Mat) string {
	return fmt.Sprintf("mat %s, %d of %d tags, residual %s mm, %s px/mm, tilt %s°, camera %s mm above",
		m.Name, m.TagsSeen, m.TagsTotal, decimal(m.ResidualMM, 2), decimal(m.PxPerMM, 1), decimal(m.TiltDeg, 1), decimal(m.CameraHeightMM, 0))
}
