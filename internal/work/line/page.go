package line

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"html/template"
	"io"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/tell/figure"
	"netagauge/internal/tell/pagestyle"
	"netagauge/internal/tell/report"
)

//go:embed line.html
var pageSource string

func page(in *phrase.Language) *template.Template {
	return template.Must(template.New("line").Funcs(template.FuncMap{"t": in.Word, "say": in.Must, "lang": in.Tag}).Parse(pageSource))
}

// part is one measure on the page.
type part struct {
	Title, Why phrase.Text
	Shares     []phrase.Text // how many slices are and will be wrong
	Says       []phrase.Text // for those who keep charts
	Signals    []phrase.Text
	Plots      []template.URL
}

type row struct {
	Check
	Time    string
	Remarks string
}

// HTML writes the charts as a page that needs nothing else, in a language.
func (l Line) HTML(w io.Writer, in *phrase.Language) error {
	data := struct {
		Name, Rules        string
		Title, Span, Count phrase.Text
		Trial, Surplus     phrase.Text
		Facts              string
		Whose              []phrase.Text
		Style              template.CSS
		Parts              []part
		Rows               []row
	}{Name: l.Name, Title: l.title(), Span: l.span(), Count: Count(l.Checks).Says(), Trial: l.Trial(), Surplus: l.surplus(), Rules: l.rules(), Whose: l.whose(), Facts: report.Words{Language: in}.Facts(l.Plan.Facts), Style: pagestyle.CSS}
	for _, m := range l.Measures {
		p, err := l.part(m, in)
		if err != nil {
			return err
		}
		data.Parts = append(data.Parts, p)
	}
	for _, c := range l.Checks {
		var remarks []string
		for _, r := range c.Remarks {
			remarks = append(remarks, r.Says)
		}
		data.Rows = append(data.Rows, row{c, when(c.At), strings.Join(remarks, "; ")})
	}
	var b bytes.Buffer
	if err := page(in).Execute(&b, data); err != nil {
		return err
	}
	_, err := w.Write(b.Bytes())
	return err
}

func (l Line) part(m Measure, in *phrase.Language) (part, error) {
	p := part{Title: m.title(), Why: m.Why, Shares: m.Shares()}
	if m.Why != nil {
		return p, nil
	}
	p.Says, p.Signals = []phrase.Text{m.centre(), m.capability(), m.sees()}, l.signals(m)
	figs, err := m.Figures(in, l.Checks)
	if err != nil {
		return p, err
	}
	for _, f := range figs {
		svg, err := f.SVG()
		if err != nil {
			return p, err
		}
		// Base64 of our own drawing; a picture in an img element runs no script.
		p.Plots = append(p.Plots, template.URL("data:image/svg+xml;base64,"+base64.StdEncoding.EncodeToString(svg)))
	}
	return p, nil
}

// letters are those of a measure's two charts.
func (m Measure) letters(l *phrase.Language) [2]figure.Letters {
	name := "fault-" + m.Name // within a sentence
	return [2]figure.Letters{
		{Title: l.Word("chart-title-mean", name), X: l.Word("chart-x-mean"), Y: l.Word("chart-y", name, m.Unit)},
		{Title: l.Word("chart-title-s", name), X: l.Word("chart-x"), Y: l.Word("chart-y", "chart-s", m.Unit)},
	}
}

// Figures are the X-bar and the s chart of a measure that has them; the checks of the
// line name the points by their numbers.
func (m Measure) Figures(in *phrase.Language, numbered []Check) ([]figure.Figure, error) {
	if m.Why != nil {
		return nil, nil
	}
	letters := m.letters(in)
	numbers := make([]int, len(m.Checks))
	for i, c := range m.Checks {
		numbers[i] = numbered[c].Number
	}
	mean, err := figure.Control(letters[0], numbers, m.Pair.Mean, m.Mean, figure.Band(m.Band))
	if err != nil {
		return nil, err
	}
	spread, err := figure.Control(letters[1], numbers, m.Pair.Spread, m.Spread, figure.Band{})
	return []figure.Figure{mean, spread}, err
}
