package serve

import (
	"context"
	"net/http"
	"slices"
	"strings"
	"time"

	"netagauge/internal/judge/chart"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
	"netagauge/internal/work/line"
)

// lineData fills the chef's page.
type lineData struct {
	Species  []string
	Who      string
	All      bool // charts of all checks, not only today's
	Measures []measureData
	Latest   []shotLine
}

// measureData is one measure's charts in words.
type measureData struct {
	line.Measure
	Low, High float64 // limits of the mean for the last check
	Signals   []signalData
	Charted   bool
}

type signalData struct {
	Check int
	Says  string
}

func (s *Server) line(w http.ResponseWriter, r *http.Request, who account.Session) {
	data := lineData{Species: species(), Who: who.Who, All: r.URL.Query().Has("all")}
	l, found, err := s.charted(r.Context(), data.All)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	if found {
		for _, m := range l.Measures {
			data.Measures = append(data.Measures, measured(s.language(r), m))
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
	s.show(w, r, http.StatusOK, "line", page{Title: "line-title", Here: "line", Data: data})
}

func measured(l lang, m line.Measure) measureData {
	out := measureData{Measure: m, Charted: m.Why == nil}
	if !out.Charted {
		return out
	}
	last := m.Pair.Mean[len(m.Pair.Mean)-1]
	out.Low, out.High = last.Low, last.High
	for _, x := range slices.Concat(m.Mean, m.Spread) {
		out.Signals = append(out.Signals, signalData{m.Checks[x.Point] + 1, signal(l, x)})
	}
	return out
}

// signal is what a rule saw, with its published name.
func signal(l lang, x chart.Signal) string {
	return l.Word("signal", x.Says, x.Rule)
}

// charted is the line with today's checks, or with all; found is false without
// any.
func (s *Server) charted(ctx context.Context, all bool) (l line.Line, found bool, err error) {
	of, err := s.Folder.Session(ctx, intake.Line, s.Line)
	if err != nil {
		return l, false, err
	}
	rows, err := s.Folder.Book().SpotChecks(ctx, s.Line)
	if err != nil || len(rows) == 0 {
		return l, false, err
	}
	checks, err := line.Load(ctx, s.Folder.Book(), s.Line)
	if err != nil {
		return l, false, err
	}
	if !all {
		today := day(time.Now())
		checks = slices.DeleteFunc(checks, func(c line.Check) bool { return day(c.At.Local()) != today })
	}
	if len(checks) == 0 {
		return l, false, nil
	}
	m, err := of.Ticket.Matter()
	return line.Of(s.Line, checks, line.ControlPlan{Standard: of.Ticket.Standard, Group: m.Group}), true, err
}

// chart draws one measure's chart: weight-mean.svg, length-s.svg and so on.
func (s *Server) chart(w http.ResponseWriter, r *http.Request, _ account.Session) {
	name, isSVG := strings.CutSuffix(r.PathValue("chart"), ".svg")
	measure, which, _ := strings.Cut(name, "-")
	place := slices.Index([]string{"mean", "s"}, which)
	l, found, err := s.charted(r.Context(), r.URL.Query().Has("all"))
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	i := slices.IndexFunc(l.Measures, func(m line.Measure) bool { return m.Name == measure && m.Why == nil })
	if !isSVG || !found || place < 0 || i < 0 {
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
