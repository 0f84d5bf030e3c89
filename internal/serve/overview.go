package serve

import (
	"cmp"
	"context"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/chart"
	"netagauge/internal/judge/evidence"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/organisation"
)

// overviewData fills the owner's page of one day at every site.
type overviewData struct {
	Day, Before, After string // YYYY-MM-DD; After is empty today
	All                *dayData
	Sites              []siteDay
}

// siteDay is one site's day.
type siteDay struct {
	Name, Title string
	Day         *dayData // nil without a tray
	Drifts      []drift
	Grades      *book.ClassGrades // of the last class that has some
	Unread      bool              // its record could not be read
}

// dayData sums up the trays of a day.
type dayData struct {
	Trays, Slices, Good, Missing int
	Share                        evidence.Interval
	Means                        []meanData
}

// meanData is a measure's mean over all slices beside what the house aims at.
type meanData struct {
	Name, Unit string
	Mean, Aim  float64
}

// drift is what the newest check of a line's measure tells, unless somebody has
// remarked on it.
type drift struct {
	Measure    string // key
	Says, Rule string
}

// lookingAtOnce is how many sites are read at once.
const lookingAtOnce = 8

func (o *Organisation) overview(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	now := time.Now()
	at, err := time.ParseInLocation(time.DateOnly, r.URL.Query().Get("day"), time.Local)
	if err != nil || at.After(now) {
		at = now
	}
	data := overviewData{Day: day(at), Before: day(at.AddDate(0, 0, -1))}
	if day(at) != day(now) {
		data.After = day(at.AddDate(0, 0, 1))
	}
	all, err := o.all(r.Context())
	if err != nil {
		return err
	}
	l := o.language(r)
	var trays []book.Tally
	data.Sites, trays = o.days(r.Context(), l, all, data.Day)
	data.All = dayOf(trays)
	slices.SortStableFunc(data.Sites, worstFirst)
	return o.show(w, r, http.StatusOK, "sites", page{Title: "sites", Here: "sites", Data: data})
}

// worstFirst has what drifts above what does not, then the smaller share, then what has
// no tray.
func worstFirst(a, b siteDay) int {
	share := func(s siteDay) float64 {
		if s.Day == nil {
			return 2
		}
		return s.Day.Share.Value
	}
	return cmp.Or(cmp.Compare(min(1, len(b.Drifts)), min(1, len(a.Drifts))), cmp.Compare(share(a), share(b)), cmp.Compare(a.Title, b.Title))
}

// days reads the day of every open site, and gives all its trays.
func (o *Organisation) days(ctx context.Context, l lang, all []organisation.Site, on string) (out []siteDay, trays []book.Tally) {
	all = slices.DeleteFunc(slices.Clone(all), func(s organisation.Site) bool { return s.Closed })
	out = make([]siteDay, len(all))
	read := make([][]book.Tally, len(all))
	places := make(chan struct{}, lookingAtOnce)
	var waiting sync.WaitGroup
	for i, s := range all {
		waiting.Go(func() {
			places <- struct{}{}
			defer func() { <-places }()
			out[i] = siteDay{Name: s.Name, Title: s.Title(l.Tag())}
			var err error
			if read[i], err = o.dayAt(ctx, s.Name, on, &out[i]); err != nil {
				o.Log.ErrorContext(ctx, "read the day of a site", "site", s.Name, "err", err)
				out[i].Unread = true
			}
		})
	}
	waiting.Wait()
	return out, slices.Concat(read...)
}

// dayAt reads one site's day into to.
func (o *Organisation) dayAt(ctx context.Context, name, on string, to *siteDay) (trays []book.Tally, err error) {
	at, err := o.server(ctx, name)
	if err != nil {
		return nil, err
	}
	today := on == day(time.Now())
	read, err := at.server.boards.day.get(&at.server.boards.changes, dayKey{on, today}, func() (readDay, error) { return at.server.readDay(ctx, on, today) })
	if err != nil {
		return nil, err
	}
	to.Day, to.Drifts = read.sum, read.drifts
	to.Grades, err = at.server.Folder.Book().LastGrades(ctx)
	return read.trays, err
}

// readDay is a day's trays, and what drifts.
type readDay struct {
	trays  []book.Tally
	sum    *dayData
	drifts []drift
}

type dayKey struct {
	on    string
	today bool
}

// readDay reads a day; what drifts does so now.
func (s *Server) readDay(ctx context.Context, on string, today bool) (d readDay, err error) {
	b := s.Folder.Book()
	if d.trays, err = b.TalliesOn(ctx, on); err != nil {
		return d, err
	}
	if d.sum = dayOf(d.trays); !today {
		return d, nil
	}
	line, err := b.TalliesLast(ctx, s.Line, chartedLast)
	if err != nil {
		return d, err
	}
	if d.drifts = drifts(line); len(d.drifts) > 0 {
		newest := line[len(line)-1].Photo
		remarks, err := b.Remarks(ctx, s.Line, []string{newest})
		if err != nil {
			return d, err
		}
		if len(remarks[newest]) > 0 {
			d.drifts = nil
		}
	}
	return d, nil
}

// dayOf sums trays up; nil where there are none. The interval of the share takes the
// slices of one tray as alike as they are.
func dayOf(trays []book.Tally) *dayData {
	if len(trays) == 0 {
		return nil
	}
	d := &dayData{Trays: len(trays)}
	var parts []evidence.Part
	for _, t := range trays {
		d.Good, d.Slices, d.Missing = d.Good+t.Good, d.Slices+t.Slices, d.Missing+t.Missing
		if t.Slices > 0 {
			parts = append(parts, evidence.Part{N: t.Good, Of: t.Slices})
		}
	}
	d.Share = evidence.Part{N: d.Good, Of: d.Slices}.Exact(evidence.EffectOf(parts))
	for _, m := range daily {
		var n int
		mean := meanData{Name: m.Key, Unit: strings.TrimSpace(m.Unit.Sign)}
		for _, t := range trays {
			s := t.Of[m]
			n += s.N
			mean.Mean += float64(s.N) * s.Mean
			mean.Aim += float64(s.N) * s.Aim
		}
		if n > 0 {
			mean.Mean, mean.Aim = mean.Mean/float64(n), mean.Aim/float64(n)
			d.Means = append(d.Means, mean)
		}
	}
	return d
}

// daily are the measures that the owner's day has.
var daily = []*piece.Measure{piece.Length, piece.Width, piece.Weight}

// drifts are the signals that the newest check of a line completes, on the charts that
// its own page has.
func drifts(line []book.Tally) (out []drift) {
	for _, m := range daily {
		var groups []chart.Subgroup
		newest := -1
		for i, t := range line {
			if s := t.Of[m]; s.N >= 2 && s.N <= chart.MaxSubgroup {
				groups, newest = append(groups, chart.Subgroup(s.Spread)), i
			}
		}
		if len(groups) < 2 || newest != len(line)-1 {
			continue
		}
		pair := chart.Charts(groups, 0)
		for _, x := range append(chart.Signals(pair.Mean, chart.WesternElectric), chart.Signals(pair.Spread, chart.BeyondLimits)...) {
			if x.Point == len(groups)-1 {
				out = append(out, drift{m.Key, x.Says, x.Rule})
				break
			}
		}
	}
	return out
}
