package handout

import (
	"strings"

	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/phrase"
	"netagauge/internal/tell/export"
	"netagauge/internal/tell/report"
	"netagauge/internal/work/board"
)

// Tables are the sheets of a class, numbers unrounded: the board, the grades by
// criterion, every piece, the photos that count for nobody, the faults.
func Tables(b board.Board) []export.Table {
	return []export.Table{boardTable(b), gradesTable(b), piecesTable(b), openTable(b), faultsTable(b)}
}

func boardTable(b board.Board) export.Table {
	t := export.Table{Name: "board", Head: []string{"session", "date", "trainee", "photos", "slices", "measured", "passed",
		"share length", "share width", "share weight", "share cover",
		"mean length mm", "sd length mm", "mean width mm", "sd width mm", "mean weight g", "sd weight g",
		"minutes", "points", "points to be had", "grade %", "change since last time"}}
	for _, x := range b.Trainees {
		row := []any{b.Session, b.HeldOn, x.Name, len(x.Photos), x.Slices, x.Measured(), x.Passed}
		for _, c := range []string{"length", "width", "weight", "cover"} {
			s, ok := x.Shares[c]
			row = append(row, known(s, ok))
		}
		for _, v := range [][]float64{x.Sizes.Length, x.Sizes.Width, x.Sizes.Weight} {
			row = append(row, meanAndSD(v)...)
		}
		grade, graded := x.Grade.Percent()
		change, compared := x.Trend()
		t.Add(append(row, known(x.Minutes, x.Minutes > 0), x.Grade.Points, x.Grade.Of, known(grade, graded), known(change, compared))...)
	}
	return t
}

func known(v float64, ok bool) any {
	if !ok {
		return nil
	}
	return v
}

func meanAndSD(v []float64) []any {
	switch len(v) {
	case 0:
		return []any{nil, nil}
	case 1:
		return []any{v[0], nil}
	}
	mean, sd := stat.MeanStdDev(v, nil)
	return []any{mean, sd}
}

func gradesTable(b board.Board) export.Table {
	t := export.Table{Name: "grades", Head: []string{"trainee", "criterion", "points", "points to be had", "why", "pieces outside"}}
	for _, x := range b.Trainees {
		for _, c := range x.Grade.Criteria {
			t.Add(x.Name, c.Name, known(c.Points, c.Judged), c.Of, c.Why, outsideText(c, true))
		}
	}
	return t
}

func piecesTable(b board.Board) export.Table {
	t := export.Table{Name: "pieces", Head: []string{"session", "date", "trainee", "photo", "piece", "state", "counts", "verdict",
		"length mm", "U length mm", "width mm", "U width mm", "area mm²", "thickness mm", "weight g", "U weight g", "rice cover", "taper", "faults", "decided by hand"}}
	for _, x := range b.Trainees {
		for _, p := range x.Photos {
			for _, s := range p.Slices {
				reason := ""
				if s.Decision != nil {
					reason = s.Decision.Reason
				}
				row := []any{b.Session, b.HeldOn, x.Name, p.File, s.Number, string(s.State), true}
				if s.State == report.PieceMeasured {
					row = append(row, string(s.Verdict), s.Length, s.LengthU, s.Width, s.WidthU, s.Area, s.Thickness, s.Weight, s.WeightU, s.RiceCover, s.Taper, faultWords(s.Faults))
				} else {
					row = append(row, make([]any, 12)...)
				}
				t.Add(append(row, reason)...)
			}
			for _, o := range p.Others {
				row := append([]any{b.Session, b.HeldOn, x.Name, p.File, o.Number, o.State, false}, make([]any, 12)...)
				t.Add(append(row, o.Reason)...)
			}
		}
	}
	return t
}

func faultWords(faults []report.Fault) string {
	var out []string
	for _, f := range faults {
		w := f.What
		if f.Unsure {
			w += "?"
		}
		out = append(out, w)
	}
	return strings.Join(out, ", ")
}

func openTable(b board.Board) export.Table {
	t := export.Table{Name: "not counted", Head: []string{"photo", "label", "why"}}
	for _, o := range b.Open {
		t.Add(o.File, o.Label, o.Why)
	}
	return t
}

func faultsTable(b board.Board) export.Table {
	t := export.Table{Name: "faults", Head: []string{"fault", "trainees who have it", "slices", "who", "show again"}}
	for _, f := range b.Faults {
		t.Add(phrase.English().Word(f.Fault.Is()), len(f.Trainees), f.Slices, strings.Join(f.Trainees, "; "), phrase.English().Word(f.Fault.Lesson()))
	}
	return t
}
