package serve

import (
	"cmp"
	"context"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
	"netagauge/internal/tell/report"
)

// resultData is a measured photo as a person reads it.
type resultData struct {
	Refused   bool
	Problems  []problemWords
	Count     piece.Count
	Verdicts  []verdictCount
	Missing   phrase.Text       // what to do about slices without numbers
	Estimate  bool              // a weight is one
	Weigh     *weighData        // nil where no slice is measured
	Counts    []grade.Criterion // shares of slices, with what each rests on
	WeightNow bool              // weight counts because slices were weighed or photographed twice
	Counting  phrase.Text       // what close slices and those without numbers count as
	Lesson    *lessonData
	Since     *sinceData
	Picture   *pictureData
	Pieces    []pieceData // by number
	Standard  string      // of a result that does not tell what it rests on
	Facts     []factData

	Mapped    bool // slices have a picture of their thickness
	secondOdd bool // the second photo did not show everything
}

// verdictCount is how many slices got a verdict, by its key.
type verdictCount struct {
	N          int
	Class, Key string
}

// verdictsOf are the verdicts that a headline counts: good always, the others where
// there are some.
func verdictsOf(c piece.Count) []verdictCount {
	out := []verdictCount{{c.Good, "good", "verdict-pass"}}
	for _, v := range []verdictCount{{c.Close, "close", "verdict-unsure"}, {c.Again, "again", "verdict-fail"}, {c.NotMeasured, "none", "not-counted"}} {
		if v.N > 0 {
			out = append(out, v)
		}
	}
	return out
}

// Those are the pieces with a verdict, by the style's class.
func (r resultData) Those(classes ...string) []pieceData {
	var out []pieceData
	for _, class := range classes {
		for _, p := range r.Pieces {
			if p.Class == class {
				out = append(out, p)
			}
		}
	}
	return out
}

// problemWords is a problem in the page's language.
type problemWords struct{ Problem, Remedy string }

// problemOf words a problem with its numbers, or by its code where they were not
// kept.
func problemOf(l lang, p piece.Problem) problemWords {
	if says, ok := l.Say(p.Says); ok {
		return problemWords{Problem: capital(says), Remedy: capital(l.Must(p.Cure))}
	}
	if !l.Has("p-"+p.Code) || l == phrase.English() && p.Remedy != "" {
		return problemWords{capital(p.Message), capital(p.Remedy)}
	}
	return problemWords{capital(l.Word("p-" + p.Code)), capital(l.Word("r-" + p.Code))}
}

// failureOf says why a photo failed or was refused, by its code; of what was entered
// also what is wrong with it.
func failureOf(l lang, x intake.Shot) problemWords {
	out := problemOf(l, piece.Problem{Code: x.Code})
	if says, ok := l.Say(x.Why); ok && x.Code == intake.CodeEntered {
		out.Problem += l.Word("problem-then") + says
	}
	return out
}

// capital begins a sentence; the program's own begin with a plain letter.
func capital(s string) string {
	if s == "" {
		return ""
	}
	first, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + s[n:]
}

// pieceData is one piece of a tray.
type pieceData struct {
	piece.Piece
	Verdict  string // key
	Class    string // of the style: good, close, again, none
	Says     string // what is off, or why it has no numbers
	Override *piece.Override
	Found    string // key of the verdict as measured, where a person says otherwise
	Counts   bool
	Top      *topData // nil without a second photo
}

// verdictKey is the key of a verdict's words, by its class.
func verdictKey(class string) string {
	for v, c := range classes {
		if c == class {
			return "verdict-" + string(v)
		}
	}
	return "not-counted"
}

// classes are the style's names of verdicts.
var classes = map[piece.Verdict]string{piece.Pass: "good", piece.Unsure: "close", piece.Fail: "again"}

// factData is one thing that a result rests on, with its name.
type factData struct{ Name, Value string }

func (s *Server) result(ctx context.Context, l lang, who account.Session, x intake.Shot) (*resultData, error) {
	tray, err := s.trayOf(ctx, x)
	if err != nil {
		return nil, err
	}
	r := tray.Report
	out := &resultData{Refused: r.Status == piece.TrayRefused, Standard: r.Standard, Count: grade.Verdicts(tray), Missing: tray.Missing(), Counting: x.Ticket.Standard.Counting()}
	if r.Mat != nil && s.anothers(ctx, r.Mat.Label, x) {
		out.Problems = append(out.Problems, problemWords{Problem: capital(l.Word("p-label", r.Mat.Label)), Remedy: capital(l.Word("r-label"))})
	}
	for _, p := range r.Problems {
		out.Problems = append(out.Problems, problemOf(l, p))
		out.secondOdd = out.secondOdd || p.Code == "second-photo"
	}
	for _, f := range r.Facts {
		name, value := report.Words{Language: l}.Fact(f)
		out.Facts, out.Standard = append(out.Facts, factData{name, value}), ""
	}
	out.Verdicts = verdictsOf(out.Count)
	for _, p := range r.Pieces {
		d := pieceOf(l, p, tray.Overrides, x.Ticket)
		out.Pieces = append(out.Pieces, d)
		out.Mapped = out.Mapped || d.Top != nil
		out.Estimate = out.Estimate || p.Weight.Estimate
	}
	out.Counts, out.WeightNow = counted(tray, x)
	out.Weigh = weighOf(x.Ticket, out.Pieces)
	if !out.Refused {
		if out.Lesson = lessonOf(l, tray); out.Lesson != nil && x.Done() {
			out.Lesson.ask(x.Ticket.Cut)
		}
	}
	if out.Since, err = s.since(ctx, who, x, tray, out.Lesson); err != nil {
		return nil, err
	}
	out.Picture, err = s.pictureOf(ctx, x.ID, x.Result, r, out.Pieces)
	return out, err
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
func (s *Server) anothers(ctx context.Context, label string, x intake.Shot) bool {
	roster, err := s.readRoster(ctx)
	if err != nil || label == "" || x.Kind != intake.Class {
		return false
	}
	name, known := roster.Name(label)
	return known && name != x.Who
}

func pieceOf(l lang, p piece.Piece, overrides map[int]piece.Override, told ticket.Ticket) pieceData {
	out := pieceData{Piece: p, Verdict: "not-counted", Class: "none", Counts: p.State == piece.Measured}
	if o, ok := overrides[p.Number]; ok {
		out.Override, out.Counts = &o, o.Counts()
		out.Piece = o.Applied(p)
	}
	switch {
	case p.State != piece.Measured:
		out.Says = l.Must(p.Why())
	case !out.Counts:
		out.Says = l.Word("by-hand-not")
	default:
		out.Top = topOf(l, p)
		out.Verdict, out.Class = "verdict-"+string(out.Piece.Verdict), classes[out.Piece.Verdict]
		out.Says = offOf(l, out.Piece, told)
		if out.Override != nil && out.Override.Judges() {
			out.Says = saidBy(l, *out.Override)
			out.Found = "verdict-" + string(p.Verdict)
		}
	}
	return out
}

// saidBy is who decided about a slice, and why.
func saidBy(l lang, o piece.Override) string {
	return l.Word("by-hand-says", cmp.Or(o.Who, l.Word("by-hand-nobody")), report.Printable(o.Reason))
}

// offOf says by how much a slice is off or, where it only may be, of which measures
// that cannot be said; never what to do about it, which is the lesson's.
func offOf(l lang, p piece.Piece, told ticket.Ticket) string {
	var sure, near []string
	_, group := told.Fish()
	for _, f := range p.Faults {
		m := f.Of()
		switch {
		case coach.Asks(f):
			return l.Must(f.Says)
		case f.Unsure:
			near = append(near, l.Word("near-"+f.Criterion()))
		default:
			by := f.Measured
			if band, ok := told.Standard.Band(m, group); ok {
				by = math.Abs(f.Measured - band.Aim)
			} else if m != nil {
				by *= m.Unit.Scale
			}
			sure = append(sure, l.Word("by-"+f.Key(), by))
		}
	}
	if len(sure) > 0 {
		return l.List(sure)
	}
	return l.List(near)
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
