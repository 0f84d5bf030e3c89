package serve

import (
	"context"
	"net/http"
	"slices"
	"strings"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/table"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/evidence"
	"netagauge/internal/judge/hand"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
)

// handData fills the page of how somebody's hand cuts.
type handData struct {
	Name      string
	Path      string // of this page
	Limited   bool
	Class     string // that the page is about; empty where there is none
	Trays     []handTray
	Pace      string // empty where it is not known
	Means     []handRow
	Spreads   []handRow
	Before    string // class that this one is compared with; empty where there is none
	Good      *handGood
	Changes   []handRow
	Elsewhere []elsewhere // at other sites of the organisation before
}

// handTray is a tray, whose order of cutting may have been told.
type handTray struct {
	Shot   string
	Number int64
	Told   bool
	Order  string // as told, by numbers; empty for as numbered
	Along  []handRow
}

// handRow is an effect with its interval, in a measure's own unit.
type handRow struct {
	Key, By, Low, High, Unit string
	Clear                    bool
	Effect                   evidence.Interval
	N                        int
}

// handGood is how the share of good slices changed.
type handGood struct {
	Now, Was evidence.Part
	By       handRow
}

func rowOf(m *piece.Measure, by evidence.Interval, n int) handRow {
	digits := m.Digits
	if m.Unit == piece.Share {
		digits = 0
	}
	in := func(x float64) string {
		return strings.Replace(uncertainty.Signed(x*m.Unit.Scale, digits), "-", "−", 1)
	}
	return handRow{Key: m.Key, By: in(by.Value), Low: in(by.Low), High: in(by.High), Unit: m.Unit.Sign, Clear: by.Clear(), Effect: by, N: n}
}

func rowsOf(ds []hand.Drift) (out []handRow) {
	for _, d := range ds {
		out = append(out, rowOf(d.Measure, d.Whole(), d.N))
	}
	return out
}

// ownHand is a trainee's own page.
func (s *Server) ownHand(w http.ResponseWriter, r *http.Request, who account.Session) error {
	data := handData{Name: who.Who, Path: "/hand", Limited: who.Limited}
	if !who.Limited {
		if err := s.handOf(r.Context(), &data); err != nil {
			return err
		}
	}
	return s.show(w, r, http.StatusOK, "hand", page{Title: "hand-title", Here: "past", Back: "/past", Data: data})
}

// classHand is the same of a trainee's, for instructors.
func (s *Server) classHand(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	data := handData{Name: r.URL.Query().Get("name"), Path: "/class"}
	if err := s.handOf(r.Context(), &data); err != nil {
		return err
	}
	before, err := s.before(r.Context(), s.language(r), data.Name)
	if err != nil {
		return err
	}
	if data.Elsewhere = before; len(data.Trays)+len(before) == 0 {
		return errNotFound
	}
	return s.show(w, r, http.StatusOK, "hand", page{Title: data.Name, Here: "class", Back: "/class", Data: data})
}

// comparedTrays is how far back the class before is looked for.
const comparedTrays = 40

// handOf reckons hands, each in the class that somebody was in last, from the trays that
// they sent themselves.
func (s *Server) handOf(ctx context.Context, hands ...*handData) error {
	var all []intake.Shot
	many := make([]int, len(hands))
	for i, data := range hands {
		shots, err := s.handShots(ctx, data)
		if err != nil {
			return err
		}
		all, many[i] = append(all, shots...), len(shots)
	}
	trays, err := s.handTrays(ctx, all)
	if err != nil {
		return err
	}
	photos := make([]string, len(all))
	for i, x := range all {
		photos[i] = x.Hash
	}
	orders, err := s.Folder.Book().Orders(ctx, photos)
	if err != nil {
		return err
	}
	for i, data := range hands {
		n := many[i]
		if err := s.fillHand(ctx, data, all[:n], trays[:n], orders); err != nil {
			return err
		}
		all, trays = all[n:], trays[n:]
	}
	return nil
}

// handShots are the measured trays of that class and of the one before, which it names.
func (s *Server) handShots(ctx context.Context, data *handData) ([]intake.Shot, error) {
	which := intake.Filter{Owner: traineeOwner(data.Name), Kind: intake.Class, States: []intake.State{intake.Measured}, Last: comparedTrays}
	shots, err := s.Folder.List(ctx, which)
	if err != nil || len(shots) == 0 {
		return nil, err
	}
	data.Class = shots[len(shots)-1].Session
	if i := slices.IndexFunc(shots, func(x intake.Shot) bool { return x.Session == data.Class }); i > 0 {
		data.Before = shots[i-1].Session
	}
	return slices.DeleteFunc(shots, func(x intake.Shot) bool { return x.Session != data.Class && x.Session != data.Before }), nil
}

// fillHand adds what trays, and the orders of cutting by photo, tell of a hand.
func (s *Server) fillHand(ctx context.Context, data *handData, shots []intake.Shot, trays []hand.Tray, orders map[string][]int) error {
	var now, before []hand.Tray
	var here []intake.Shot
	for i, x := range shots {
		if x.Session == data.Class {
			now, here = append(now, trays[i]), append(here, x)
		} else {
			before = append(before, trays[i])
		}
	}
	if err := s.along(ctx, data, here, orders); err != nil {
		return err
	}
	if data.Before != "" {
		data.compare(before, now)
	}
	means, spreads := hand.Tired(now)
	data.Means, data.Spreads = rowsOf(means), rowsOf(spreads)
	if pace, known := hand.Pace(now); known {
		data.Pace = uncertainty.Decimal(pace, 1)
	}
	return nil
}

func (d *handData) compare(before, now []hand.Tray) {
	l := hand.Since(before, now)
	if l.GoodKnown {
		by := rowOf(piece.Cover, l.Good, l.After.Of) // a share, as cover is
		by.Key = "hand-good"
		d.Good = &handGood{l.After, l.Before, by}
	}
	for _, c := range l.Changes {
		d.Changes = append(d.Changes, rowOf(c.Measure, c.By, c.After.N))
	}
}

// handTrays are what each tray came to, with what people decided.
func (s *Server) handTrays(ctx context.Context, shots []intake.Shot) ([]hand.Tray, error) {
	sums := make([]book.Tally, len(shots))
	for i, x := range shots {
		sums[i] = book.Tally{Kind: string(intake.Class), Name: x.Session, Photo: x.Hash, Result: x.Result}
	}
	sums, err := s.Folder.Book().Sums(ctx, sums)
	out := make([]hand.Tray, len(sums))
	for i, t := range sums {
		out[i] = hand.Tray{At: shots[i].Received, Slices: t.Slices + t.Missing, Good: evidence.Part{N: t.Good, Of: t.Slices}, Of: map[*piece.Measure]evidence.Spread{}}
		for _, m := range piece.OfHand() {
			out[i].Of[m] = t.Of[m].Spread
		}
	}
	return out, err
}

// along adds the trays to the data, with what drifts along the block where the order of
// cutting was told.
func (s *Server) along(ctx context.Context, data *handData, shots []intake.Shot, orders map[string][]int) error {
	var results []int64
	for _, x := range shots {
		if _, told := orders[x.Hash]; told {
			results = append(results, x.Result)
		}
	}
	reports, err := s.Folder.Book().Reports(ctx, results)
	for _, x := range shots {
		t := handTray{Shot: x.ID, Number: x.Number}
		var order []int
		if order, t.Told = orders[x.Hash]; t.Told {
			t.Along, t.Order = rowsOf(hand.Along(inOrder(reports[x.Result].Pieces, order))), joined(order)
		}
		data.Trays = append(data.Trays, t)
	}
	return err
}

// handsCSV is the hands of everybody on the roster, an effect a row.
func (s *Server) handsCSV(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	roster, err := s.readRoster(r.Context())
	if err != nil {
		return err
	}
	var hands []*handData
	for _, name := range roster.Names() {
		hands = append(hands, &handData{Name: name})
	}
	if err := s.handOf(r.Context(), hands...); err != nil {
		return err
	}
	guesses, err := s.Folder.Book().LastGuesses(r.Context(), roster.Names(), eyesShown)
	if err != nil {
		return err
	}
	var rows [][]any
	for _, data := range hands {
		grades, err := s.grades(r.Context(), data.Name)
		if err != nil {
			return err
		}
		rows = append(append(rows, data.rows()...), leadRows(data.Name, leads(guesses[data.Name], grades))...)
	}
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="hands.csv"`)
	out := table.NewCSV(w)
	out.Head([]string{"trainee", "class", "what", "measure", "effect", "low", "high", "unit", "values"})
	for _, row := range rows {
		out.Row(row)
	}
	out.Close() // a browser that is gone needs nothing more
	return nil
}

// rows are the effects for a file, with full numbers.
func (d handData) rows() (out [][]any) {
	add := func(what string, rows []handRow) {
		for _, x := range rows {
			out = append(out, []any{d.Name, d.Class, what, x.Key, x.Effect.Value, x.Effect.Low, x.Effect.High, strings.TrimSpace(x.Unit), x.N})
		}
	}
	for _, t := range d.Trays {
		add("along the block", t.Along)
	}
	add("over the minutes", d.Means)
	add("spread over the minutes", d.Spreads)
	add("since "+d.Before, d.Changes)
	if d.Good != nil {
		add("since "+d.Before, []handRow{d.Good.By})
	}
	return out
}
