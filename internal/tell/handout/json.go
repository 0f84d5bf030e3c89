package handout

import (
	"io"
	"time"

	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/board"
	"netagauge/internal/tell/report"
)

// The class as JSON: numbers rounded as in every other output, texts in English.
type classJSON struct {
	Session    string        `json:"session"`
	Date       string        `json:"date"`
	Standard   string        `json:"standard"`
	Species    string        `json:"species,omitempty"`
	Told       []string      `json:"told,omitempty"`
	Facts      []piece.Fact  `json:"rests_on"`
	Trainees   []traineeJSON `json:"trainees"`
	NotCounted []openJSON    `json:"not_counted"`
	Absent     []string      `json:"absent"`
	ShowAgain  string        `json:"show_again"`
}

type traineeJSON struct {
	Name        string              `json:"name"`
	Slices      int                 `json:"slices"`
	Good        int                 `json:"good"`
	Close       int                 `json:"close"`
	Again       int                 `json:"again"`
	NotMeasured int                 `json:"not_measured"`
	Shares      map[string]float64  `json:"shares"`
	Sizes       map[string]sizeJSON `json:"sizes"`
	Grade       *float64            `json:"grade_percent,omitempty"`
	Points      float64             `json:"points"`
	Of          float64             `json:"points_to_be_had"`
	Change      *float64            `json:"change_percent,omitempty"`
	Minutes     float64             `json:"minutes,omitempty"`
	Tips        []string            `json:"tips"`
	Photos      []photoJSON         `json:"photos"`
}

type sizeJSON struct {
	Mean float64  `json:"mean"`
	SD   *float64 `json:"sd,omitempty"`
	N    int      `json:"n"`
}

type photoJSON struct {
	File    string        `json:"file"`
	Refused bool          `json:"refused"`
	Problem string        `json:"problem,omitempty"`
	Facts   []piece.Fact  `json:"rests_on,omitempty"`
	Pieces  []piece.Piece `json:"pieces"`
}

type openJSON struct {
	File  string `json:"file"`
	Label string `json:"label,omitempty"`
	Why   string `json:"why"`
}

// JSON writes a class as one object.
func JSON(w io.Writer, b board.Board, absent []string) error {
	in := phrase.English().Must
	species, _ := b.Ticket.Fish()
	out := classJSON{Session: b.Session, Date: b.HeldOn.Format(time.DateOnly), Standard: b.Ticket.Standard.Name, Species: species,
		Told: told(b.Ticket), Facts: b.Facts(), Trainees: []traineeJSON{}, NotCounted: []openJSON{}, Absent: append([]string{}, absent...), ShowAgain: in(b.ShowAgain())}
	for _, t := range b.Trainees {
		x, err := traineeOf(t)
		if err != nil {
			return err
		}
		out.Trainees = append(out.Trainees, x)
	}
	for _, o := range b.Open {
		out.NotCounted = append(out.NotCounted, openJSON{o.File, o.Label, in(o.Why)})
	}
	return report.Indented(w, out)
}

func told(t ticket.Ticket) (out []string) {
	for _, x := range t.Says() {
		out = append(out, phrase.English().Must(x))
	}
	return out
}

func traineeOf(t board.Trainee) (traineeJSON, error) {
	out := traineeJSON{Name: t.Name, Slices: t.Count.Slices(), Good: t.Count.Good, Close: t.Count.Close, Again: t.Count.Again, NotMeasured: t.Count.NotMeasured,
		Shares: map[string]float64{}, Sizes: map[string]sizeJSON{}, Points: uncertainty.Round(t.Grade.Points, 1), Of: t.Grade.Of, Minutes: t.Minutes, Tips: []string{}, Photos: []photoJSON{}}
	for key, v := range t.Shares {
		out.Shares[key] = uncertainty.Round(v, piece.Share.Digits)
	}
	for _, m := range piece.Shown() {
		if v := t.Sizes[m.Key]; len(v) > 0 {
			out.Sizes[m.Column()] = sizeOf(v, m)
		}
	}
	if g, ok := t.Grade.Percent(); ok {
		g = uncertainty.Round(g, 1)
		out.Grade = &g
	}
	if c, ok := t.Trend(); ok {
		c = uncertainty.Round(c, 1)
		out.Change = &c
	}
	for _, tip := range t.Tips {
		out.Tips = append(out.Tips, phrase.English().Must(tip))
	}
	for _, p := range t.Photos {
		pieces, err := report.Rounded(p.File, piecesOf(p.Slices))
		if err != nil {
			return out, err
		}
		out.Photos = append(out.Photos, photoJSON{p.File, p.Refused, phrase.English().Must(p.Problem), p.Facts, pieces})
	}
	return out, nil
}

func sizeOf(v []float64, m *piece.Measure) sizeJSON {
	if len(v) == 1 {
		return sizeJSON{Mean: uncertainty.Round(v[0], m.Unit.Digits), N: 1}
	}
	mean, sd := stat.MeanStdDev(v, nil)
	sd = uncertainty.Round(sd, m.Unit.Digits)
	return sizeJSON{uncertainty.Round(mean, m.Unit.Digits), &sd, len(v)}
}

func piecesOf(slices []grade.Slice) []piece.Piece {
	out := []piece.Piece{}
	for _, s := range slices {
		out = append(out, s.Piece)
	}
	return out
}
