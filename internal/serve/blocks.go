package serve

import (
	"errors"
	"math"
	"net/http"
	"strconv"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/textfile"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/evidence"
	"netagauge/internal/judge/weight"
	"netagauge/internal/judge/yield"
	"netagauge/internal/keep/account"
)

// stores are the pages of blocks: what was opened, what it gave, what to order.
func (s *Server) stores(m *http.ServeMux) {
	kitchen := s.only(account.Chef, account.Instructor)
	m.Handle("GET /blocks", kitchen(s.blocks))
	m.Handle("POST /blocks", kitchen(s.openBlock))
	m.Handle("POST /blocks/{id}/close", kitchen(s.closeBlock))
	m.Handle("GET /yield", kitchen(s.yield))
}

// blockData is a block with its sizes as people read them.
type blockData struct{ yield.Block }

// Got is what it gave: "41 slices, 17.5 g of block each".
func (b blockData) Got() phrase.Text {
	if b.Served == 0 {
		return phrase.Of("block-got-none")
	}
	return phrase.Of("block-got", float64(b.Served), b.Cut()/float64(b.Served))
}

// blocksData fills the page of blocks.
type blocksData struct {
	Open, Closed []blockData
	Species      []string
	Typed        map[string]string
	Complain     string
}

// shownBlocks of those that were closed are listed; yieldBlocks are looked at for yield.
const shownBlocks, yieldBlocks = 20, 500

var blockFields = []string{"species", "supplier", "cutter", "grams", "price", "planned", "served", "weighed", "left", "remark"}

func (s *Server) blocks(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	typed := map[string]string{}
	for _, name := range blockFields { // a plan fills in what it knows
		typed[name] = r.URL.Query().Get(name)
	}
	return s.showBlocks(w, r, http.StatusOK, blocksData{Typed: typed})
}

func (s *Server) showBlocks(w http.ResponseWriter, r *http.Request, status int, d blocksData) error {
	all, err := s.Folder.Book().Blocks(r.Context(), shownBlocks)
	if err != nil {
		return err
	}
	d.Species = species()
	for _, b := range all {
		if b.Open() {
			d.Open = append(d.Open, blockData{b})
		} else {
			d.Closed = append(d.Closed, blockData{b})
		}
	}
	return s.show(w, r, status, "blocks", page{Title: "blocks-title", Here: "blocks", Data: d})
}

// typedBlock are the fields of a form, and its numbers.
func typedBlock(r *http.Request) (typed map[string]string, number func(string) float64) {
	typed = map[string]string{}
	for _, name := range blockFields {
		typed[name] = short(strings.TrimSpace(r.PostFormValue(name)))
	}
	return typed, func(name string) float64 { return typedNumber(typed[name]) }
}

// short is a text as a field may hold.
func short(s string) string { return string([]rune(s)[:min(len([]rune(s)), maxField)]) }

// typedNumber is what a field says: 0 where it is empty, NaN, which nothing may be, for
// what is no number.
func typedNumber(text string) float64 {
	if strings.TrimSpace(text) == "" {
		return 0
	}
	return textfile.Number(text)
}

// whole is a number of things; -1, which nothing has, for what is none.
func whole(v float64) int {
	if v != math.Trunc(v) || math.Abs(v) > 1e6 {
		return -1
	}
	return int(v)
}

func (s *Server) openBlock(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	typed, number := typedBlock(r)
	b := yield.Block{Species: typed["species"], Supplier: typed["supplier"], Cutter: typed["cutter"], Grams: number("grams"), PerKg: number("price"),
		Planned: whole(number("planned")), OpenedAt: time.Now()}
	if fish, err := weight.BuiltIn().Find(b.Species); err == nil {
		b.Species = fish.Name
	}
	if _, err := s.Folder.Book().OpenBlock(r.Context(), b); err != nil {
		return s.blockTrouble(w, r, typed, err)
	}
	return redirect(w, r, "/blocks")
}

// blockTrouble says what is wrong with what was entered; anything else is trouble.
func (s *Server) blockTrouble(w http.ResponseWriter, r *http.Request, typed map[string]string, err error) error {
	var said *phrase.Error
	if !errors.As(err, &said) {
		return err
	}
	return s.showBlocks(w, r, http.StatusUnprocessableEntity, blocksData{Typed: typed, Complain: s.complain(s.language(r), err, "bad-form")})
}

func (s *Server) closeBlock(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	id, _ := strconv.ParseInt(r.PathValue("id"), 10, 64)
	all, err := s.Folder.Book().Blocks(r.Context(), 0)
	if err != nil {
		return err
	}
	typed, number := typedBlock(r)
	for _, b := range all {
		if b.ID != id {
			continue
		}
		b.Served, b.ServedGrams, b.LeftGrams, b.Remark, b.ClosedAt = whole(number("served")), number("weighed"), number("left"), typed["remark"], time.Now()
		if err := s.Folder.Book().CloseBlock(r.Context(), b); err != nil {
			return s.blockTrouble(w, r, map[string]string{}, err)
		}
		return redirect(w, r, "/blocks")
	}
	return s.blockTrouble(w, r, map[string]string{}, phrase.Wrong("block-closed"))
}

// yieldData fills the page of what blocks gave, over weeks.
type yieldData struct {
	Groups  []yieldGroup
	Weeks   []weekData
	Species []string
	Fish    string // whose order is asked for
	Slices  string
	Order   phrase.Text // nil until asked for
}

type yieldGroup struct {
	Key  string
	Rows []yieldRow
}

type yieldRow struct {
	yield.Row
	PerSlice, Yield string
}

type weekData struct {
	yield.Week
	OverSays, CostSays string
}

// within is a value with its interval, as people read it; without one where there is
// none, as of a single block.
func within(i evidence.Interval, scale float64, digits int) string {
	if i.High == i.Low {
		return uncertainty.Decimal(scale*i.Value, digits)
	}
	return uncertainty.PlusMinus(scale*i.Value, scale*(i.High-i.Low)/2, digits)
}

func (s *Server) yield(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	all, err := s.Folder.Book().Blocks(r.Context(), yieldBlocks)
	if err != nil {
		return err
	}
	house, err := s.house(r.Context())
	if err != nil {
		return err
	}
	l := s.language(r)
	fish := fish(l)
	d := yieldData{Species: species(), Fish: r.URL.Query().Get("species"), Slices: r.URL.Query().Get("slices")}
	for _, g := range []struct {
		key  string
		name func(yield.Block) string
	}{
		{"species", func(b yield.Block) string { return fish(b.Species).Name }},
		{"block-supplier", func(b yield.Block) string { return b.Supplier }},
		{"block-cutter", func(b yield.Block) string { return b.Cutter }},
	} {
		group := yieldGroup{Key: g.key}
		for _, row := range yield.By(all, g.name) {
			x := yieldRow{Row: row, PerSlice: within(row.PerSlice, 1, 1)}
			if row.Yield != nil {
				x.Yield = within(*row.Yield, 100, 0)
			}
			group.Rows = append(group.Rows, x)
		}
		if len(group.Rows) > 1 || len(group.Rows) == 1 && group.Rows[0].Name != "" {
			d.Groups = append(d.Groups, group)
		}
	}
	for _, week := range yield.Weeks(all, func(name string) float64 {
		kind, _ := weight.BuiltIn().Find(name)
		return house.WeightFor(kind.Group).Aim
	}) {
		d.Weeks = append(d.Weeks, weekData{week, uncertainty.Signed(week.Over, 0), uncertainty.Signed(week.Cost, 2)})
	}
	d.Order = ordered(all, d.Fish, d.Slices)
	return s.show(w, r, http.StatusOK, "yield", page{Title: "yield-title", Here: "blocks", Back: "/blocks", Data: d})
}

// ordered says how much fish so many slices take; nil where nothing was asked.
func ordered(all []yield.Block, fish, slices string) phrase.Text {
	if slices == "" {
		return nil
	}
	n := whole(typedNumber(slices))
	if n < 1 || n > 100_000 {
		return phrase.Of("order-number")
	}
	var those []yield.Block
	for _, b := range all {
		if b.Species == fish {
			those = append(those, b)
		}
	}
	need, ok := yield.Order(those, n)
	if !ok {
		return phrase.Of("order-few")
	}
	return phrase.Of("order-says", float64(n), need.Value/1000, need.Low/1000, need.High/1000)
}
