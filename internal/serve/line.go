package serve

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/chart"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
	"netagauge/internal/work/line"
)

// lineData fills the chef's page.
type lineData struct {
	Species  []string
	Who      string
	All      bool   // charts of the latest checks, not only today's
	Query    string // of the charts' addresses
	Before   int64  // check before which there are more, 0 for none
	Measures []measureData
	Latest   []shotLine
}

// measureData is one measure's charts in words.
type measureData struct {
	line.Measure
	Low, High float64 // limits of the mean for the last check
	Signals   []signalData
	Charted   bool
	Chart     phoneChart
	Newest    int         // number of the newest check
	Tells     string      // key of what the newest check tells
	Range     string      // key of what the limits are called
	Trial     phrase.Text // that the limits rest on few checks
	Quiet     bool        // the newest check has no signal
	Shot      string      // address of its tray; empty where it is not among the latest
}

type signalData struct {
	Check int
	Says  string
}

func (s *Server) line(w http.ResponseWriter, r *http.Request, who account.Session) {
	which := charts(r)
	data := lineData{Species: species(), Who: who.Who, All: which.Since.IsZero()}
	if data.All {
		data.Query = fmt.Sprintf("?all&before=%d", which.Before)
	}
	l, err := s.charted(r.Context(), which)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	if n := len(l.Checks); n > 0 {
		for _, m := range l.Measures {
			data.Measures = append(data.Measures, measured(s.language(r), m, l.Trial()))
		}
		if data.All && n == which.Last {
			data.Before = l.Checks[0].ID
		}
	}
	shots, err := s.Folder.List(r.Context(), intake.Filter{Kind: intake.Line, Session: s.Line, Last: shownLatest})
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	slices.Reverse(shots)
	for _, x := range shots {
		one, err := s.summed(r.Context(), x)
		if err != nil {
			s.trouble(w, r, err)
			return
		}
		data.Latest = append(data.Latest, one)
	}
	for i, m := range data.Measures {
		for _, x := range shots {
			if c := l.Checks; m.Charted && c[m.Newest-1].Who == x.Who && x.Received.Sub(c[m.Newest-1].At).Abs() < time.Second {
				data.Measures[i].Shot = "/shots/" + x.ID
			}
		}
	}
	s.show(w, r, http.StatusOK, "line", page{Title: "line-title", Here: "line", Data: data})
}

func measured(l lang, m line.Measure, trial phrase.Text) measureData {
	out := measureData{Measure: m, Charted: m.Why == nil, Range: "chart-usual", Trial: trial}
	if !out.Charted {
		return out
	}
	last := m.Pair.Mean[len(m.Pair.Mean)-1]
	out.Low, out.High = last.Low, last.High
	out.Chart = phoneChartOf(m)
	newest := len(m.Checks) - 1
	out.Newest, out.Tells = m.Checks[newest]+1, "line-usual"
	if trial != nil {
		out.Tells, out.Range = "line-early", "chart-early"
	}
	for _, x := range m.Mean {
		if x.Point == newest {
			out.Tells = "line-moved"
		}
	}
	for _, x := range m.Spread {
		if x.Point == newest {
			out.Tells = "line-varies"
		}
	}
	out.Quiet = out.Tells == "line-usual" || out.Tells == "line-early"
	for _, x := range slices.Concat(m.Mean, m.Spread) {
		out.Signals = append(out.Signals, signalData{m.Checks[x.Point] + 1, signal(l, x)})
	}
	return out
}

// signal is what a rule saw, with its published name.
func signal(l lang, x chart.Signal) string {
	return l.Word("signal", x.Says, x.Rule)
}

// chartedLast is how many checks a chart shows at most; limits usually rest on 20
// to 25.
const chartedLast = 100

// charts says which checks a request wants charted: today's, or with all the latest,
// or those before one.
func charts(r *http.Request) book.Span {
	out := book.Span{Last: chartedLast}
	if !r.URL.Query().Has("all") {
		now := time.Now()
		out.Since = time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, time.Local)
		return out
	}
	out.Before = number(r, "before")
	return out
}

// charted is the line with these checks, which may be none.
func (s *Server) charted(ctx context.Context, which book.Span) (line.Line, error) {
	b := &s.boards
	return b.line.get(&b.changes, which, func() (line.Line, error) {
		checks, err := line.Load(ctx, s.Folder.Book(), s.Line, which)
		if err != nil || len(checks) == 0 {
			return line.Line{}, err
		}
		of, err := s.Folder.Session(ctx, intake.Line, s.Line)
		if err != nil {
			return line.Line{}, err
		}
		m, err := of.Ticket.Matter()
		return line.Of(s.Line, checks, line.ControlPlan{Standard: of.Ticket.Standard, Group: m.Group}), err
	})
}

// chart draws one measure's chart: weight-mean.svg, length-s.svg and so on.
func (s *Server) chart(w http.ResponseWriter, r *http.Request, _ account.Session) {
	name, isSVG := strings.CutSuffix(r.PathValue("chart"), ".svg")
	measure, which, _ := strings.Cut(name, "-")
	place := slices.Index([]string{"mean", "s"}, which)
	l, err := s.charted(r.Context(), charts(r))
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	i := slices.IndexFunc(l.Measures, func(m line.Measure) bool { return m.Name == measure && m.Why == nil })
	if !isSVG || place < 0 || i < 0 {
		s.notFound(w, r)
		return
	}
	figs, err := l.Measures[i].Figures(s.language(r))
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	s.drawing(w, r, figs[place])
}

// sendCheck takes in a spot check.
func (s *Server) sendCheck(w http.ResponseWriter, r *http.Request, who account.Session) {
	f, ok := s.photoForm(w, r, who)
	if !ok {
		return
	}
	to, err := s.Folder.Session(r.Context(), intake.Line, s.Line)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	name := f.fields["who"]
	if name == "" {
		name = who.Who
	}
	s.receive(w, r, who, to, shortName(name), f)
}
