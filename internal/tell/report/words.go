package report

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
)

// Words tells results in a language.
type Words struct{ *phrase.Language }

// CautionKeys are the full list, for a page. Temperatures and times are left to the
// local food code; the US FDA Food Code, for one, asks for 5 °C or less
// (3-501.16), and forbids absorbent food-contact surfaces (4-101.11).
var CautionKeys = []string{"caution-mat", "caution-cold", "caution-law", "caution-hands", "caution-knife"}

// kept says a text or, of a result that has only its English sentence, that.
func (l Words) kept(says phrase.Text, sentence string) string {
	if s, ok := l.Say(says); ok {
		return s
	}
	return sentence
}

// head is a measure's name with its unit, as a column is headed.
func (l Words) head(m *piece.Measure) string {
	if m.Unit == piece.Share {
		return l.Word("measure-" + m.Key)
	}
	return l.Word("measure-"+m.Key) + " " + strings.TrimSpace(m.Unit.Sign)
}

// Cell is a measure as people read it under its head.
func Cell(p piece.Piece, m *piece.Measure) string {
	s := m.In(*m.Of(&p))
	if m.Unit == piece.Share && m.Of(&p).Known {
		s += m.Unit.Sign
	}
	return s
}

// state says why a piece has no numbers.
func (l Words) state(p piece.Piece) string { return l.Must(p.Why()) }

// verdict is the verdict as people say it.
func (l Words) verdict(v piece.Verdict) string { return l.Word("verdict-" + string(v)) }

// side is Mark in the language.
func (l Words) side(f piece.Fault) string { return l.Must(Mark(f)) }

// Mark is what is wrong in a word, with a question mark where it is close.
func Mark(f piece.Fault) phrase.Text {
	if f.Unsure {
		return phrase.Named("mark-unsure", "mark-"+f.Key())
	}
	return phrase.Of("mark-" + f.Key())
}

// sentence says what was measured and what the house asks.
func (l Words) sentence(f piece.Fault) string { return l.Must(faultSays(f)) }

func faultSays(f piece.Fault) phrase.Text {
	switch {
	case f.What == piece.NoKoba && f.Unsure:
		return phrase.Of("said-koba-close")
	case f.What == piece.NoKoba:
		return phrase.Of("said-koba")
	case f.Of() == nil:
		return phrase.Of("fault-" + f.What)
	}
	t := opening(f).And(phrase.Of("said-asks"), f.Of().Asks(f.Low, f.High))
	if f.Unsure {
		t = t.And(phrase.Of("said-close"))
	}
	return t
}

// opening names the measure with its value or, of rice that is seen to stay bare,
// the reason.
func opening(f piece.Fault) phrase.Text {
	m := f.Of()
	value := faultNumber(f) + m.Unit.Sign
	switch {
	case m != piece.Cover:
		return phrase.Named("said-value", "fault-"+m.Key, value)
	case f.What == m.Key:
		return phrase.Named("said-cover", "", value)
	}
	return phrase.Named("said-reason", "is-"+f.What, value)
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

// weightLacking reports whether a measured piece has no weight.
func weightLacking(r piece.Tray) bool {
	for _, p := range r.MeasuredPieces() {
		if !p.Weight.Known {
			return true
		}
	}
	return false
}

// estimated reports whether a weight is an estimate.
func estimated(r piece.Tray) bool {
	return slices.ContainsFunc(r.MeasuredPieces(), func(p piece.Piece) bool { return p.Weight.Estimate })
}

// Fact is a fact's name and what it was.
func (l Words) Fact(f piece.Fact) (name, value string) {
	value = l.kept(f.Says, f.Value)
	if own := f.Names[l.Tag()]; own != "" {
		value = own
	}
	return l.Word("fact-" + f.What), value
}

// Facts are facts in one line.
func (l Words) Facts(facts []piece.Fact) string {
	var parts []string
	for _, f := range facts {
		name, value := l.Fact(f)
		parts = append(parts, l.Word("fact-is", name, value))
	}
	return l.Word("facts-are") + strings.Join(parts, l.Word("facts-and"))
}

// standard tells what a result rests on or, of one from before, what it was held
// against.
func (l Words) standard(r piece.Tray) string {
	if len(r.Facts) > 0 {
		return l.Facts(r.Facts)
	}
	if r.Species == "" {
		return l.Word("said-standard", r.Standard)
	}
	return l.Word("said-standard-species", r.Standard, r.Species)
}

// lessons are what the coach advises on the whole tray.
func (l Words) lessons(t piece.Tally) []string {
	out := slices.Clone(t.Advice)
	for i := range out {
		if i < len(t.Says) {
			out[i] = l.kept(t.Says[i], out[i])
		}
	}
	return out
}

// missing is what to do about slices that have no numbers; empty where all have.
func (l Words) missing(r piece.Tray) string { return l.Must(r.Missing()) }

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

// note says where the weights' intervals come from and what would shrink
// them, or what to enter when there is no weight.
func (l Words) note(r piece.Tray) string {
	switch {
	case weightLacking(r):
		return l.Word("no-thickness")
	case estimated(r):
		return l.Word("weight-estimate")
	}
	s, ok := largestShare(r)
	if !ok {
		return ""
	}
	return l.Must(cured(phrase.Named("budget", piece.SourceKey(s.Source)).With(100*s.Part), s))
}

// cured is what is said of a share of a budget, and what would shrink it.
func cured(says phrase.Text, s uncertainty.Share) phrase.Text {
	if s.RemedyKey == "" {
		return says
	}
	return says.And(phrase.Named("budget-cure", s.RemedyKey))
}

// Budget writes a line a share of a weight's interval, in the order given.
func (l Words) Budget(w io.Writer, shares []uncertainty.Share) {
	for _, s := range shares {
		says := phrase.Named("budget-part", piece.SourceKey(s.Source)).With(100*s.Part, s.U)
		fmt.Fprintf(w, "  %s\n", l.Must(cured(says, s)))
	}
}

// tray is the tray in one line: the verdicts, each by itself, and the sizes.
func (l Words) tray(r piece.Tray) string {
	says := r.Count().Says()
	t := r.Tally
	if t == nil {
		return l.Must(says)
	}
	if t.Measured > 0 {
		says = says.And(phrase.Of("tally-sizes", t.MeanLength, t.MeanWidth, t.SpreadLength, t.SpreadWidth))
	}
	switch {
	case t.Estimate:
		says = says.And(phrase.Of("tally-about", *t.MeanWeight, t.MeanWeightU))
	case t.MeanWeight != nil:
		says = says.And(phrase.Of("tally-weight", *t.MeanWeight))
	}
	if t.TotalWeight != nil {
		says = says.And(phrase.Of("tally-total", *t.TotalWeight))
	}
	return l.Must(says)
}

// mat is how well the mat was seen, in one line.
func (l Words) mat(m piece.Mat) string {
	return l.Must(phrase.Named("mat-seen", m.Name).With(float64(m.TagsSeen), float64(m.TagsTotal), m.ResidualMM, m.PxPerMM, m.TiltDeg, m.CameraHeightMM))
}
