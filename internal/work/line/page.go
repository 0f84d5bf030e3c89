package line

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"sync"

	"netagauge/internal/core/phrase"
	"netagauge/internal/tell/figure"
	"netagauge/internal/tell/pagestyle"
)

//go:embed line.html
var pageSource string

var page = sync.OnceValue(func() *template.Template {
	l := phrase.English()
	return template.Must(template.New("line").Funcs(template.FuncMap{"t": l.Word, "say": l.Must, "lang": l.Tag}).Parse(pageSource))
})

// part is one measure on the page.
type part struct {
	Title, Why phrase.Text
	Says       []phrase.Text // what the charts tell, in sentences
	Signals    []phrase.Text
	Plots      []template.URL
}

type row struct {
	Number          int
	Time, Who, File string
	Slices          int
}

// HTML writes the charts as a page that needs nothing else.
func (l Line) HTML(w io.Writer) error {
	data := struct {
		Name, Rules, Caution string
		Span, Trial, Surplus phrase.Text
		Style                template.CSS
		Parts                []part
		Rows                 []row
	}{Name: l.Name, Span: l.span(), Trial: l.Trial(), Surplus: l.surplus(), Rules: "Western Electric, 1956", Caution: phrase.English().Word("caution"), Style: pagestyle.CSS}
	if l.Plan.Nelson {
		data.Rules = "Nelson, 1984"
	}
	for _, m := range l.Measures {
		p, err := l.part(m)
		if err != nil {
			return err
		}
		data.Parts = append(data.Parts, p)
	}
	for i, c := range l.Checks {
		data.Rows = append(data.Rows, row{i + 1, when(c.At), c.Who, c.File, len(c.Slices)})
	}
	var b bytes.Buffer
	if err := page().Execute(&b, data); err != nil {
		return fmt.Errorf("write the page of line %q: %w", l.Name, err)
	}
	_, err := w.Write(b.Bytes())
	return err
}

func (l Line) part(m Measure) (part, error) {
	p := part{Title: m.title(), Why: m.Why}
	if m.Why != nil {
		return p, nil
	}
	p.Says, p.Signals = []phrase.Text{m.centre(), m.capability(), m.sees()}, l.signals(m)
	figs, err := m.Figures(phrase.English())
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
	return [2]figure.Letters{
		{Title: l.Word("chart-title-mean", m.Name), X: l.Word("chart-x"), Y: l.Word("chart-y", m.Name, m.Unit)},
		{Title: l.Word("chart-title-s", m.Name), X: l.Word("chart-x"), Y: l.Word("chart-y", "chart-s", m.Unit)},
	}
}

// Figures are the X-bar and the s chart of a measure that has them.
func (m Measure) Figures(in *phrase.Language) ([]figure.Figure, error) {
	if m.Why != nil {
		return nil, nil
	}
	letters := m.letters(in)
	numbers := make([]int, len(m.Checks))
	for i, c := range m.Checks {
		numbers[i] = c + 1
	}
	mean, err := figure.Control(letters[0], numbers, m.Pair.Mean, m.Mean)
	if err != nil {
		return nil, err
	}
	spread, err := figure.Control(letters[1], numbers, m.Pair.Spread, m.Spread)
	return []figure.Figure{mean, spread}, err
}
