package handout

import (
	"strings"

	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/table"
	"netagauge/internal/keep/board"
)

// Tables are the sheets of a class, numbers in full digits, which table.Rounded rounds:
// the board, the grades by criterion, every piece, the photos that count for nobody, the
// faults, and what the results rest on.
func Tables(b board.Board) []table.Table {
	return []table.Table{boardTable(b), gradesTable(b), piecesTable(b), openTable(b), faultsTable(b), factsTable(b)}
}

func boardTable(b board.Board) table.Table {
	t := table.Table{Name: "board", Head: []string{"session", "date", "trainee", "photos", "slices", "measured", "good", "close", "again", "not measured"}}
	t.Digits = map[string]table.Digits{}
	for _, m := range piece.Judged() {
		t.Head = append(t.Head, "share_"+m.File)
		t.Digits["share_"+m.File] = table.Digits{Decimals: piece.Share.Digits}
	}
	for _, m := range piece.Shown() {
		for _, head := range []string{"mean_" + m.Column(), "sd_" + m.Column()} {
			t.Head = append(t.Head, head)
			t.Digits[head] = table.Digits{Decimals: m.Unit.Digits}
		}
	}
	t.Head = append(t.Head, "minutes", "points", "points to be had", "grade_percent", "change since last time")
	for _, head := range []string{"points", "grade_percent", "change since last time"} {
		t.Digits[head] = table.Digits{Decimals: 1}
	}
	for _, x := range b.Trainees {
		row := []any{b.Session, b.HeldOn, x.Name, len(x.Photos), x.Count.Slices(), x.Count.Measured(), x.Count.Good, x.Count.Close, x.Count.Again, x.Count.NotMeasured}
		for _, m := range piece.Judged() {
			s, ok := x.Shares[m.Key]
			row = append(row, known(s, ok))
		}
		for _, m := range piece.Shown() {
			row = append(row, meanAndSD(x.Sizes[m.Key])...)
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

func gradesTable(b board.Board) table.Table {
	t := table.Table{Name: "grades", Head: []string{"trainee", "criterion", "points", "points to be had", "why", "rests on", "not measured against it", "pieces outside"},
		Digits: map[string]table.Digits{"points": {Decimals: 1}}}
	english := words{phrase.English()}
	for _, x := range b.Trainees {
		for _, c := range x.Grade.Criteria {
			t.Add(x.Name, c.Name, known(c.Points, c.Judged), c.Of, english.Must(c.Why), english.Must(c.Rests), c.Hidden, english.outside(c, true))
		}
	}
	return t
}

func piecesTable(b board.Board) table.Table {
	t := table.Table{Name: "pieces", Head: []string{"session", "date", "trainee", "photo", "piece", "state", "counts", "verdict", "verdict as measured"}}
	t.Head = append(append(t.Head, piece.Columns()...), "estimates", "faults", "decided by hand")
	t.Digits = map[string]table.Digits{}
	for _, m := range piece.Measures {
		t.Digits[m.Column()] = table.Digits{Decimals: m.Unit.Digits}
		t.Digits[m.ColumnU()] = table.Digits{Decimals: m.Unit.Digits, Up: true}
	}
	add := func(cells map[string]any) {
		row := make([]any, len(t.Head))
		for i, h := range t.Head {
			row[i] = cells[h]
		}
		t.Add(row...)
	}
	for _, x := range b.Trainees {
		for _, p := range x.Photos {
			cells := func(number int, state string, counts bool, reason string) map[string]any {
				return map[string]any{"session": b.Session, "date": b.HeldOn, "trainee": x.Name, "photo": p.File,
					"piece": number, "state": state, "counts": counts, "decided by hand": reason}
			}
			for _, s := range p.Slices {
				reason := ""
				if s.Override != nil {
					reason = s.Override.Reason
				}
				row := cells(s.Number, string(s.State), true, reason)
				if s.State == piece.Measured {
					row["verdict as measured"] = string(s.Found)
					row["verdict"], row["faults"], row["estimates"] = string(s.Verdict), piece.Names(s.Faults, ", "), strings.Join(s.Estimates(), " ")
					s.Cells(row)
				}
				add(row)
			}
			for _, o := range p.Others {
				add(cells(o.Number, o.State, false, o.Reason))
			}
		}
	}
	return t
}

func openTable(b board.Board) table.Table {
	t := table.Table{Name: "not counted", Head: []string{"photo", "label", "why"}}
	for _, o := range b.Open {
		t.Add(o.File, o.Label, phrase.English().Must(o.Why))
	}
	return t
}

func faultsTable(b board.Board) table.Table {
	t := table.Table{Name: "faults", Head: []string{"fault", "trainees who have it", "slices", "who", "show again"}}
	for _, f := range b.Faults {
		t.Add(phrase.English().Word(f.Fault.Is()), len(f.Trainees), f.Slices, strings.Join(f.Trainees, "; "), phrase.English().Word(f.Fault.Lesson()))
	}
	return t
}

// factsTable has what the class's results rest on and, by photo, what each one's do.
func factsTable(b board.Board) table.Table {
	t := table.Table{Name: "rests on", Head: []string{"trainee", "photo", "what", "value"}}
	for _, f := range b.Facts() {
		t.Add("", "", f.What, f.Value)
	}
	for _, x := range b.Trainees {
		for _, p := range x.Photos {
			for _, f := range p.Facts {
				t.Add(x.Name, p.File, f.What, f.Value)
			}
		}
	}
	return t
}
