package serve

import (
	"context"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strconv"
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
	All      bool         // charts of the latest checks, not only today's
	Query    template.URL // of the charts' addresses
	Before   int64        // check before which there are more, 0 for none
	Whose    []linkTo     // charts of one cook or station, and of everybody
	Measures []measureData
	Latest   []shotLine
}

// linkTo is a link with its words.
type linkTo struct{ Text, To string }

// measureData is one measure's charts in words.
type measureData struct {
	line.Measure
	Low, High float64       // limits of the mean for the last check
	Shares    []phrase.Text // how many slices are and will be wrong
	Signals   []signalData
	Open      []line.Check // with a signal that nobody has remarked on, the newest first
	Charted   bool
	Chart     phoneChart
	Tells     phrase.Text // what the newest check tells
	Range     string      // key of what the limits are called
	Trial     phrase.Text // that the limits rest on few checks
	Quiet     bool        // the newest check has no signal that is not known
	Remark    string      // what is known about its signal
	Shot      string      // address of its tray; empty where it is not among the latest
	Query     template.URL
	newest    line.Check
}

type signalData struct {
	Check  int
	Says   string
	Remark string
}

func (s *Server) line(w http.ResponseWriter, r *http.Request, who account.Session) error {
	which := charts(r)
	data := lineData{Species: species(), Who: who.Who, All: which.Since.IsZero(), Query: template.URL(query(r, r.URL.Query().Get("who")))}
	checks, l, err := s.charted(r.Context(), which)
	if err != nil {
		return err
	}
	data.Whose = s.whose(r, line.Whose(checks))
	for _, m := range l.Measures {
		one := measured(s.language(r), l, m)
		one.Query = data.Query
		data.Measures = append(data.Measures, one)
	}
	if data.All && len(checks) == which.Last {
		data.Before = checks[0].ID
	}
	shots, err := s.Folder.List(r.Context(), intake.Filter{Kind: intake.Line, Session: s.Line, Last: shownLatest})
	if err != nil {
		return err
	}
	slices.Reverse(shots)
	for _, x := range shots {
		one, err := s.summed(r.Context(), x)
		if err != nil {
			return err
		}
		data.Latest = append(data.Latest, one)
		for i, m := range data.Measures {
			if m.Charted && x.Result != 0 && m.newest.Result == x.Result {
				data.Measures[i].Shot = "/shots/" + x.ID
			}
		}
	}
	return s.show(w, r, http.StatusOK, "line", page{Title: "line-title", Here: "line", Data: data})
}

// whose are links to the charts of everybody and of each cook or station, where
// there are several; the one that is shown has no address.
func (s *Server) whose(r *http.Request, names []string) (out []linkTo) {
	if len(names) < 2 {
		return nil
	}
	l, shown := s.language(r), r.URL.Query().Get("who")
	for _, who := range append([]string{""}, names...) {
		link := linkTo{l.Word("line-everybody"), "/line" + query(r, who)}
		if who != "" {
			link.Text = who
		}
		if who == shown {
			link.To = ""
		}
		out = append(out, link)
	}
	return out
}

// query is that of a request for the same checks, of one cook or station.
func query(r *http.Request, who string) string {
	var parts []string
	if r.URL.Query().Has("all") {
		parts = []string{"all", fmt.Sprintf("before=%d", number(r, "before"))}
	}
	if who != "" {
		parts = append(parts, "who="+url.QueryEscape(who))
	}
	if len(parts) == 0 {
		return ""
	}
	return "?" + strings.Join(parts, "&")
}

func measured(in lang, l line.Line, m line.Measure) measureData {
	out := measureData{Measure: m, Charted: m.Why == nil, Range: "chart-usual", Trial: l.Trial(), Shares: m.Shares()}
	if !out.Charted {
		return out
	}
	last := m.Pair.Mean[len(m.Pair.Mean)-1]
	out.Low, out.High = last.Low, last.High
	out.Chart = phoneChartOf(m, l.Checks)
	if out.Trial != nil {
		out.Range = "chart-early"
	}
	place := m.Checks[len(m.Checks)-1]
	says, signals := l.At(m, place)
	out.Tells, out.newest = says, l.Checks[place]
	out.Quiet = len(signals) == 0 || out.newest.Known()
	if len(signals) > 0 {
		out.Remark = out.newest.Remark()
	}
	for _, x := range l.SignalsOf(m) {
		out.Signals = append(out.Signals, signalData{x.Check.Number, signal(in, x.Signal), x.Check.Remark()})
		if c := x.Check; !c.Known() && (len(out.Open) == 0 || out.Open[0].ID != c.ID) {
			out.Open = slices.Insert(out.Open, 0, c)
		}
	}
	return out
}

// signal is what a rule saw, with its published name.
func signal(l lang, x chart.Signal) string {
	return l.Word("signal", x.Says, x.Rule)
}

// remark keeps what the signals of a check were.
func (s *Server) remark(w http.ResponseWriter, r *http.Request, who account.Session) error {
	says := strings.TrimSpace(r.PostFormValue("remark"))
	all, err := line.Load(r.Context(), s.Folder.Book(), s.Line, charts(r).Span)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(all, func(c line.Check) bool { return strconv.FormatInt(c.ID, 10) == r.PostFormValue("check") })
	if i < 0 || says == "" || len(says) > longestRemark {
		return errNotFound
	}
	if err := s.Folder.Book().AddRemark(r.Context(), s.Line, book.Remark{Photo: all[i].Photo, Who: who.Who, Says: says}); err != nil {
		return err
	}
	s.stale()
	return redirect(w, r, "/line"+query(r, r.URL.Query().Get("who")))
}

// longestRemark is the longest remark, bytes.
const longestRemark = 1000

// chartedLast is how many checks a chart shows at most; limits usually rest on 20
// to 25.
const chartedLast = 100

// charts says which checks a request wants charted: today's, or with all the latest,
// or those before one.
func charts(r *http.Request) span {
	out := span{book.Span{Last: chartedLast}, r.URL.Query().Get("who")}
	if !r.URL.Query().Has("all") {
		now := time.Now()
		out.Since = time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, time.Local)
		return out
	}
	out.Before = number(r, "before")
	return out
}

// span are checks of everybody, or of one cook or station.
type span struct {
	book.Span
	who string
}

// charted are these checks, which may be none, and the line with those of the cook or
// station that is asked for.
func (s *Server) charted(ctx context.Context, which span) (all []line.Check, l line.Line, err error) {
	b := &s.boards
	drawn, err := b.line.get(&b.changes, which, func() (out charted, err error) {
		if out.all, err = line.Load(ctx, s.Folder.Book(), s.Line, which.Span); err != nil {
			return out, err
		}
		of := line.By(out.all, which.who)
		if len(of) == 0 {
			return out, nil
		}
		to, err := s.Folder.Session(ctx, intake.Line, s.Line)
		if err != nil {
			return out, err
		}
		m, err := to.Ticket.Matter()
		out.line = line.Of(s.Line, of, line.ControlPlan{Standard: to.Ticket.Standard, Group: m.Group, Facts: to.Ticket.Facts(nil)})
		return out, err
	})
	return drawn.all, drawn.line, err
}

// charted is what was read and what was drawn of it.
type charted struct {
	all  []line.Check
	line line.Line
}

// chart draws one measure's chart: weight-mean.svg, length-s.svg and so on.
func (s *Server) chart(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	name, isSVG := strings.CutSuffix(r.PathValue("chart"), ".svg")
	measure, which, _ := strings.Cut(name, "-")
	place := slices.Index([]string{"mean", "s"}, which)
	_, l, err := s.charted(r.Context(), charts(r))
	if err != nil {
		return err
	}
	i := slices.IndexFunc(l.Measures, func(m line.Measure) bool { return m.Name == measure && m.Why == nil })
	if !isSVG || place < 0 || i < 0 {
		return errNotFound
	}
	figs, err := l.Measures[i].Figures(s.language(r), l.Checks)
	if err != nil {
		return err
	}
	return s.drawing(w, r, figs[place])
}

// sendCheck takes in a spot check.
func (s *Server) sendCheck(w http.ResponseWriter, r *http.Request, who account.Session) error {
	f, err := s.photoForm(w, r, who)
	if err != nil {
		return err
	}
	to, err := s.Folder.Session(r.Context(), intake.Line, s.Line)
	if err != nil {
		return err
	}
	name := f.fields["who"]
	if name == "" {
		name = who.Who
	}
	return s.receive(w, r, who, to, shortName(name), f)
}
