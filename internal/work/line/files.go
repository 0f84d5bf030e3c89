package line

import (
	"bytes"
	"encoding/json"
	"io"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/table"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/chart"
	"netagauge/internal/tell/report"
)

// The line as JSON: numbers rounded as in every file, texts in English.
type lineJSON struct {
	Line     string        `json:"line"`
	Only     string        `json:"only,omitempty"`
	Standard string        `json:"standard"`
	Rules    string        `json:"rules"`
	Trial    string        `json:"trial_limits,omitempty"`
	Facts    []piece.Fact  `json:"rests_on,omitempty"`
	Checks   []checkJSON   `json:"checks"`
	Measures []measureJSON `json:"measures"`
}

type checkJSON struct {
	Number      int             `json:"number"`
	Time        string          `json:"time"`
	Who         string          `json:"who,omitempty"`
	Photo       string          `json:"photo"`
	Good        int             `json:"good"`
	Close       int             `json:"close"`
	Again       int             `json:"again"`
	NotMeasured int             `json:"not_measured"`
	New         bool            `json:"new"` // taken by this call
	Remarks     []remarkJSON    `json:"remarks,omitempty"`
	Facts       []piece.Fact    `json:"rests_on,omitempty"`
	Tray        json.RawMessage `json:"tray,omitempty"` // of a new one, as check writes it
}

type remarkJSON struct {
	Says string `json:"says"`
	Who  string `json:"who,omitempty"`
	Time string `json:"time"`
}

type measureJSON struct {
	Measure string       `json:"measure"`
	Unit    string       `json:"unit"`
	House   limitsJSON   `json:"house_limits"`
	Shares  []shareJSON  `json:"shares_beyond"`
	NoChart string       `json:"no_chart,omitempty"`
	Centre  float64      `json:"mean_centre,omitempty"`
	Sigma   float64      `json:"sd_within_checks,omitempty"`
	Points  []pointJSON  `json:"points"`
	Signals []signalJSON `json:"signals"`
	Cp      *ratioJSON   `json:"cp,omitempty"`
	Cpk     *ratioJSON   `json:"cpk,omitempty"`
}

type limitsJSON struct {
	Low  float64 `json:"low"`
	Aim  float64 `json:"aim"`
	High float64 `json:"high"`
}

type shareJSON struct {
	Side  string  `json:"side"`
	Count int     `json:"count"`
	Of    int     `json:"of"`
	Low   float64 `json:"share_low_95"`
	High  float64 `json:"share_high_95"`
}

type pointJSON struct {
	Check    int     `json:"check"`
	Slices   int     `json:"slices"`
	Mean     float64 `json:"mean"`
	MeanLow  float64 `json:"mean_limit_low"`
	MeanHigh float64 `json:"mean_limit_high"`
	SD       float64 `json:"sd"`
	SDLow    float64 `json:"sd_limit_low"`
	SDHigh   float64 `json:"sd_limit_high"`
}

type signalJSON struct {
	Check int    `json:"check"`
	Chart string `json:"chart"`
	Rule  string `json:"rule"`
	Says  string `json:"says"`
	New   bool   `json:"new"`
	Known bool   `json:"known"` // somebody has remarked on it
}

type ratioJSON struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low_95"`
	High  float64 `json:"high_95"`
}

// JSON writes the line as one object; trays are the reports of the checks that were
// taken just now, by the check.
func (l Line) JSON(w io.Writer, trays map[int64]piece.Tray) error {
	out := lineJSON{Line: l.Name, Only: l.Only, Standard: l.Plan.Standard.Name, Rules: l.rules(), Trial: phrase.English().Must(l.Trial()), Facts: l.Plan.Facts,
		Checks: []checkJSON{}, Measures: []measureJSON{}}
	for _, c := range l.Checks {
		x, err := l.checkJSON(c, trays)
		if err != nil {
			return err
		}
		out.Checks = append(out.Checks, x)
	}
	for _, m := range l.Measures {
		out.Measures = append(out.Measures, l.measureJSON(m))
	}
	return report.Indented(w, out)
}

func (l Line) checkJSON(c Check, trays map[int64]piece.Tray) (checkJSON, error) {
	n := c.Count
	out := checkJSON{Number: c.Number, Time: c.At.Format(iso), Who: c.Who, Photo: c.File, Good: n.Good, Close: n.Close, Again: n.Again, NotMeasured: n.NotMeasured, New: l.fresh(c.ID), Facts: c.Facts}
	for _, r := range c.Remarks {
		out.Remarks = append(out.Remarks, remarkJSON{r.Says, r.Who, r.MadeAt.Format(iso)})
	}
	tray, there := trays[c.ID]
	if !there {
		return out, nil
	}
	var text bytes.Buffer
	err := report.JSON(&text, tray)
	out.Tray = text.Bytes()
	return out, err
}

// iso is a time in files, with its zone.
const iso = "2006-01-02T15:04:05Z07:00"

func (l Line) measureJSON(m Measure) measureJSON {
	out := measureJSON{Measure: m.Name, Unit: m.Unit, House: limitsJSON{m.Band.Low, m.Band.Aim, m.Band.High}, NoChart: phrase.English().Must(m.Why),
		Shares: []shareJSON{m.Little.json(m.Of.Little), m.Much.json(m.Of.Much)}, Points: l.points(m), Signals: []signalJSON{}}
	out.Centre, out.Sigma = uncertainty.Round(m.Pair.Centre, m.Of.Unit.Digits), uncertainty.Round(m.Pair.Sigma, m.Of.Unit.Digits)
	for i := range out.Points {
		out.Points[i].rounded(m.Of.Unit.Digits)
	}
	for _, s := range l.SignalsOf(m) {
		out.Signals = append(out.Signals, signalJSON{s.Check.Number, s.chart(), s.Rule, phrase.English().Word(s.Says), l.fresh(s.Check.ID), s.Check.Known()})
	}
	if c := m.Capability; c != nil {
		out.Cp, out.Cpk = ratioOf(c.Cp), ratioOf(c.Cpk)
	}
	return out
}

func (s Signal) chart() string {
	if s.Spread {
		return "s"
	}
	return "mean"
}

func (s Share) json(side string) shareJSON {
	return shareJSON{side, s.Count, s.Of, uncertainty.Round(s.Low, 3), uncertainty.Round(s.High, 3)}
}

func ratioOf(r chart.Ratio) *ratioJSON {
	return &ratioJSON{uncertainty.Round(r.Value, 3), uncertainty.Round(r.Low, 3), uncertainty.Round(r.High, 3)}
}

// points are those of a measure's charts, in full digits.
func (l Line) points(m Measure) []pointJSON {
	out := []pointJSON{}
	for i, at := range m.Checks {
		mean, s := m.Pair.Mean, m.Pair.Spread
		if i >= len(mean) {
			break // no chart
		}
		out = append(out, pointJSON{l.Checks[at].Number, len(m.Of.Values(l.Checks[at].Slices)), mean[i].Value, mean[i].Low, mean[i].High, s[i].Value, s[i].Low, s[i].High})
	}
	return out
}

func (p *pointJSON) rounded(digits int) {
	for _, v := range []*float64{&p.Mean, &p.MeanLow, &p.MeanHigh, &p.SD, &p.SDLow, &p.SDHigh} {
		*v = uncertainty.Round(*v, digits)
	}
}

// rules names where the run rules for the means were published.
func (l Line) rules() string {
	if l.Plan.Nelson {
		return "Nelson, 1984"
	}
	return "Western Electric, 1956"
}

// CSV writes a row for each measure and check, rounded or in full digits.
func (l Line) CSV(w io.Writer, full bool) error {
	t := table.Table{Name: "line", Digits: map[string]table.Digits{}, Head: []string{"line", "check", "time", "who", "photo", "good", "close", "again", "not_measured",
		"measure", "unit", "slices", "mean", "mean_limit_low", "mean_limit_high", "sd", "sd_limit_low", "sd_limit_high", "house_low", "house_aim", "house_high", "signals", "remarks"}}
	t.Head = append(t.Head, piece.FactColumns()...)
	for _, head := range []string{"mean", "mean_limit_low", "mean_limit_high", "sd", "sd_limit_low", "sd_limit_high"} {
		t.Digits[head] = table.Digits{Decimals: piece.MM.Digits} // as many as a weight has
	}
	for _, m := range l.Measures {
		l.rows(&t, m)
	}
	if !full {
		t = table.Rounded([]table.Table{t})[0]
	}
	return table.WriteCSV(w, t)
}

func (l Line) rows(t *table.Table, m Measure) {
	points, signals := map[int]pointJSON{}, map[int][]string{} // by the check's number
	for _, p := range l.points(m) {
		points[p.Check] = p
	}
	for _, s := range l.SignalsOf(m) {
		signals[s.Check.Number] = append(signals[s.Check.Number], s.chart()+": "+s.Rule)
	}
	for _, c := range l.Checks {
		n := c.Count
		row := []any{l.Name, c.Number, c.At.Format(iso), c.Who, c.File, n.Good, n.Close, n.Again, n.NotMeasured, m.Name, m.Unit}
		if p, charted := points[c.Number]; charted {
			row = append(row, p.Slices, p.Mean, p.MeanLow, p.MeanHigh, p.SD, p.SDLow, p.SDHigh)
		} else {
			row = append(row, len(m.Of.Values(c.Slices)), nil, nil, nil, nil, nil, nil)
		}
		var remarks []string
		for _, r := range c.Remarks {
			remarks = append(remarks, r.Says)
		}
		row = append(row, m.Band.Low, m.Band.Aim, m.Band.High, strings.Join(signals[c.Number], "; "), strings.Join(remarks, "; "))
		t.Add(append(row, piece.FactCells(c.Facts)...)...)
	}
}
