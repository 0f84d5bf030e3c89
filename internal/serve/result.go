package serve

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/grade"
	"netagauge/internal/keep/intake"
	"netagauge/internal/see/mat"
)

// resultData is a measured photo as a person reads it.
type resultData struct {
	Refused   bool
	Problems  []problemWords
	Count     piece.Count
	Missing   phrase.Text       // what to do about slices without numbers
	Estimate  bool              // a weight is one
	Weigh     *weighData        // nil where no slice is measured
	Counts    []grade.Criterion // shares of slices, with what each rests on
	WeightNow bool              // weight counts because slices were weighed or photographed twice
	Counting  phrase.Text       // what close slices and those without numbers count as
	Tip       string            // the one thing to change, in the page's language
	Kept      string            // the coach's sentence, where it was kept in English only
	Picture   *pictureData
	Pieces    []pieceData
	Standard  string

	Mapped    bool // slices have a picture of their thickness
	secondOdd bool // the second photo did not show everything
}

// problemWords is a problem in the page's language, and as the program says it,
// with its numbers, where that is another.
type problemWords struct{ Problem, Remedy, Detail string }

// problemOf words a problem with its numbers, or by its code where they were not
// kept; then its English sentence goes with it.
func problemOf(l lang, p piece.Problem) problemWords {
	if says, ok := l.Say(p.Says); ok {
		return problemWords{Problem: capital(says), Remedy: capital(l.Must(p.Cure))}
	}
	switch {
	case !l.Has("p-" + p.Code), l == phrase.English() && p.Remedy != "":
		return problemWords{capital(p.Message), capital(p.Remedy), ""}
	case l == phrase.English() && p.Code != intake.CodeEntered:
		p.Message = "" // a sentence of the program's own
	}
	return problemWords{capital(l.Word("p-" + p.Code)), capital(l.Word("r-" + p.Code)), p.Message}
}

// capital begins a sentence; the program's own begin with a plain letter.
func capital(s string) string {
	if s == "" {
		return ""
	}
	first, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + s[n:]
}

// pictureData is the drawn picture with what can be tapped in it. Sizes are in
// mm of the mat frame, which the picture fills.
type pictureData struct {
	Width, Height float64
	PxHeight      int // where it is 1200 px wide
	Shapes        []shapeData
}

type shapeData struct {
	Number  int
	Verdict string // key
	Points  string
}

// pieceData is one piece in the list.
type pieceData struct {
	piece.Piece
	Verdict  string // key
	Class    string // of the style
	Faults   []faultData
	Override *piece.Override
	Reason   string // why it has no numbers, a key
	Counts   bool
	Sizes    []sizeData
	Top      *topData // nil without a second photo
}

// sizeData is a measure, by its key, and its value in words.
type sizeData struct{ Key, Value string }

type faultData struct {
	Key, Value, Asks string
	Unsure           bool
	Fix              string // key
	Advice, Kept     string // the coach's; either may be empty
}

func (s *Server) result(ctx context.Context, l lang, x intake.Shot) (*resultData, error) {
	tray, err := s.trayOf(ctx, x)
	if err != nil {
		return nil, err
	}
	r := tray.Report
	out := &resultData{Refused: r.Status == piece.TrayRefused, Standard: r.Standard, Count: grade.Verdicts(tray), Missing: tray.Missing(), Counting: x.Ticket.Standard.Counting()}
	if r.Mat != nil && s.anothers(r.Mat.Label, x) {
		out.Problems = append(out.Problems, problemWords{Problem: capital(l.Word("p-label", r.Mat.Label)), Remedy: capital(l.Word("r-label"))})
	}
	for _, p := range r.Problems {
		out.Problems = append(out.Problems, problemOf(l, p))
		out.secondOdd = out.secondOdd || p.Code == "second-photo"
	}
	for _, p := range r.Pieces {
		d := pieceOf(l, p, tray.Overrides)
		out.Pieces = append(out.Pieces, d)
		out.Mapped = out.Mapped || d.Top != nil
		out.Estimate = out.Estimate || p.Weight.Estimate
	}
	out.Counts, out.WeightNow = counted(tray, x)
	out.Weigh = weighOf(x.Ticket, out.Pieces)
	out.Tip = commonFix(l, out.Pieces)
	if r.Tally != nil && len(r.Tally.Advice) > 0 {
		first := append(r.Tally.Says, nil)[0]
		if tip, kept := advice(l, first, r.Tally.Advice[0]); tip != "" {
			out.Tip = capital(tip)
		} else {
			out.Kept = kept
		}
	}
	out.Picture = pictureOf(r)
	return out, nil
}

// counted are the criteria of a grade that a tray's measures count in, and whether
// weight does because of what came after the first photo: of a second photo and a
// scale just one, and no thickness of single slices from the start.
func counted(tray grade.Tray, x intake.Shot) (out []grade.Criterion, weightNow bool) {
	for _, c := range grade.Of([]grade.Tray{tray}, 0, x.Ticket.Standard).Criteria {
		if len(c.Rests) == 0 {
			continue
		}
		out = append(out, c)
		later := x.Second.Counts() != (x.Ticket.Weights != "") && !strings.Contains(x.Ticket.Thickness, ":")
		weightNow = weightNow || c.Name == piece.Weight.Key && c.Judged && later
	}
	return out, weightNow
}

// anothers reports whether the label on a mat is, by the roster, not that of
// whoever sent the photo.
func (s *Server) anothers(label string, x intake.Shot) bool {
	roster, err := s.readRoster()
	if err != nil || label == "" || x.Kind != intake.Class {
		return false
	}
	name, known := roster.Name(label)
	return known && name != x.Who
}

func pieceOf(l lang, p piece.Piece, overrides map[int]piece.Override) pieceData {
	out := pieceData{Piece: p, Verdict: "not-counted", Class: "none", Counts: p.State == piece.Measured}
	if o, ok := overrides[p.Number]; ok {
		out.Override, out.Counts = &o, o.Counts()
	}
	if p.State != piece.Measured {
		out.Reason = "state-" + string(p.State)
		return out
	}
	out.Top = topOf(l, p)
	out.Verdict, out.Class = "verdict-"+string(p.Verdict), string(p.Verdict)
	for _, m := range piece.Judged() {
		size := sizeData{Key: m.Key}
		_, fails := p.Fault(m)
		switch v := *m.Of(&p); {
		case m.Quiet && !fails:
			continue
		case v.Known:
			size.Value = m.In(v) + m.Unit.Sign
		case m == piece.Weight:
			size.Value = l.Word("no-weight")
		default:
			continue
		}
		out.Sizes = append(out.Sizes, size)
	}
	for _, f := range p.Faults {
		out.Faults = append(out.Faults, faultOf(l, f))
	}
	return out
}

func faultOf(l lang, f piece.Fault) faultData {
	out := faultData{Key: "fault-" + f.What, Unsure: f.Unsure, Fix: "fix-" + f.Key()}
	out.Advice, out.Kept = advice(l, f.Says, f.Advice)
	if m := f.Of(); m != nil {
		out.Value = uncertainty.Decimal(m.Unit.Scale*f.Measured, m.Digits) + m.Unit.Sign
		out.Asks = limits(l, f, m.Unit)
	}
	return out
}

func limits(l lang, f piece.Fault, unit piece.Unit) string {
	text := func(v float64) string { return trimmed(unit.Scale * v) }
	switch {
	case f.Low != nil && f.High != nil:
		return l.Word("between", text(*f.Low), text(*f.High)) + unit.Sign
	case f.Low != nil:
		return l.Word("at-least", text(*f.Low)+unit.Sign)
	case f.High != nil:
		return l.Word("at-most", text(*f.High)+unit.Sign)
	}
	return ""
}

// trimmed is a limit as the house wrote it: 75, 7.5, 97.
func trimmed(v float64) string {
	return strings.TrimSuffix(strings.TrimRight(uncertainty.Decimal(v, 3), "0"), ".")
}

// advice is what the coach says in the page's language, or else, of results by
// programs that kept no clauses, the English sentence that was kept.
func advice(l lang, says phrase.Text, sentence string) (said, kept string) {
	switch s, ok := l.Say(says); {
	case ok:
		return s, ""
	case l == phrase.English():
		return sentence, ""
	}
	return "", sentence
}

// commonFix is the fix of the fault that most slices have, where the coach has
// nothing on the tray as a whole.
func commonFix(l lang, pieces []pieceData) string {
	count := map[string]int{}
	for _, p := range pieces {
		for _, f := range p.Faults {
			if p.Counts && !f.Unsure {
				count[f.Fix]++
			}
		}
	}
	most := ""
	for _, k := range slices.Sorted(maps.Keys(count)) {
		if count[k] > count[most] {
			most = k
		}
	}
	if most == "" {
		return ""
	}
	return l.Word(most)
}

// pictureOf lays the outlines over the picture, which shows the whole paper.
func pictureOf(r piece.Tray) *pictureData {
	if r.Mat == nil {
		return nil
	}
	layout, err := mat.ByName(r.Mat.Name)
	if err != nil {
		return nil
	}
	scale := cmp.Or(r.Mat.PrintScale, 1)
	out := &pictureData{Width: layout.Paper.X * scale, Height: layout.Paper.Y * scale}
	out.PxHeight = int(math.Round(1200 * out.Height / out.Width))
	for _, p := range r.Pieces {
		if len(p.Outline) < 3 {
			continue
		}
		out.Shapes = append(out.Shapes, shapeData{p.Number, verdictKey(p), points(p.Outline)})
	}
	return out
}

func verdictKey(p piece.Piece) string {
	if p.State != piece.Measured {
		return "not-counted"
	}
	return "verdict-" + string(p.Verdict)
}

// maxPoints of an outline are enough to tap; a report has many more.
const maxPoints = 40

func points(outline [][2]float64) string {
	var b strings.Builder
	step := max(1, (len(outline)+maxPoints-1)/maxPoints)
	for i := 0; i < len(outline); i += step {
		fmt.Fprintf(&b, "%.0f,%.0f ", outline[i][0], outline[i][1])
	}
	return strings.TrimSpace(b.String())
}
