package line

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"strings"
	"sync"

	"netagauge/internal/tell/figure"
	"netagauge/internal/tell/pagestyle"
	"netagauge/internal/tell/report"
)

//go:embed line.html
var pageSource string

var page = sync.OnceValue(func() *template.Template { return template.Must(template.New("line").Parse(pageSource)) })

// part is one measure on the page.
type part struct {
	Title, Why, Centre, Capability, See string
	Signals                             []string
	Plots                               []template.URL
}

type row struct {
	Number          int
	Time, Who, File string
	Slices          int
}

// HTML writes the charts as a page that needs nothing else.
func (l Line) HTML(w io.Writer) error {
	data := struct {
		Name, Span, Trial, Surplus, Rules, Caution string
		Style                                      template.CSS
		Parts                                      []part
		Rows                                       []row
	}{
		Name: l.Name, Trial: capital(l.trialText()), Surplus: l.surplusText(), Caution: report.Caution(), Style: pagestyle.CSS,
		Span: fmt.Sprintf("%d spot checks, %s to %s", len(l.Checks), l.Checks[0].At.Format("2 January 2006 15:04"), l.Checks[len(l.Checks)-1].At.Format("2 January 2006 15:04")),
	}
	data.Rules = "Western Electric, 1956"
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
		data.Rows = append(data.Rows, row{i + 1, c.At.Format("2 Jan 2006 15:04"), c.Who, c.File, len(c.Slices)})
	}
	var b bytes.Buffer
	if err := page().Execute(&b, data); err != nil {
		return fmt.Errorf("write the page of line %q: %w", l.Name, err)
	}
	_, err := w.Write(b.Bytes())
	return err
}

func (l Line) part(m Measure) (part, error) {
	p := part{Title: fmt.Sprintf("%s, %g to %g %s", capital(m.Name), m.Band.Low, m.Band.High, m.Unit), Why: m.Why}
	if m.Why != "" {
		return p, nil
	}
	p.Centre, p.Capability, p.See, p.Signals = capital(m.centreText()), capital(m.capabilityText()), capital(m.seeText()), l.signalTexts(m)
	figs, err := m.Figures(m.English())
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

// capital begins a sentence; our texts begin with a plain letter.
func capital(s string) string {
	if s == "" {
		return ""
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// English are the letters of a measure's two charts.
func (m Measure) English() [2]figure.Letters {
	return [2]figure.Letters{
		{Title: "X̄ chart: mean " + m.Name + " of each check", X: "spot check", Y: m.Name + ", " + m.Unit},
		{Title: "s chart: standard deviation of " + m.Name + " in each check", X: "spot check", Y: "s, " + m.Unit},
	}
}

// Figures are the X-bar and the s chart of a measure that has them.
func (m Measure) Figures(letters [2]figure.Letters) ([]figure.Figure, error) {
	if m.Why != "" {
		return nil, nil
	}
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
