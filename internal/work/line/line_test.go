package line

import (
	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/ticket"

	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/book"
	"netagauge/internal/tell/telltest"
)

// rings are Montgomery's piston rings (1991, pp. 206-213; see the README beside
// the data), in mm, taken here for slices so that a published chart stands
// against the whole of this package.
func rings(t *testing.T) []Check {
	t.Helper()
	f, err := os.Open("../../judge/chart/testdata/pistonrings.csv")
	fatal.If(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	fatal.If(t, err)
	var out []Check
	for i, row := range rows {
		c := Check{ID: int64(i + 1), Number: i + 1, File: fmt.Sprintf("%d.jpg", i+1), At: time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC).Add(time.Duration(i) * 10 * time.Minute)}
		for n, cell := range row {
			v, err := strconv.ParseFloat(cell, 64)
			fatal.If(t, err)
			c.Slices = append(c.Slices, piece.Piece{Number: n + 1, State: piece.Measured, Length: piece.Of(v, 0), Width: piece.Of(35+v-74, 0)})
		}
		out = append(out, c)
	}
	return out
}

func measure(t *testing.T, l Line, name string) Measure {
	t.Helper()
	for _, m := range l.Measures {
		if m.Name == name {
			return m
		}
	}
	t.Fatalf("no measure %q", name)
	return Measure{}
}

// Limits from the first 25 checks put 37, 38 and 39 outside; Cp and Cpk are
// about the published 1.703 and 1.663, which rest on R rather than on s.
func TestPublishedChart(t *testing.T) {
	std := standard.Default()
	std.Length = standard.Limits{Low: 73.95, Aim: 74, High: 74.05}
	l := Of("rings", rings(t), ControlPlan{Standard: std, Base: 25})
	m := measure(t, l, "length")
	var beyond []int
	for _, s := range m.Mean {
		if s.Rule == "Western Electric 1" {
			beyond = append(beyond, m.Checks[s.Point]+1)
		}
	}
	if fmt.Sprint(beyond) != "[37 38 39]" {
		t.Errorf("outside: %v, want 37, 38, 39", beyond)
	}
	if c := m.Capability; c == nil || math.Abs(c.Cp.Value-1.703) > 0.01 || math.Abs(c.Cpk.Value-1.663) > 0.01 {
		t.Errorf("capability %+v", m.Capability)
	}
	if w := measure(t, l, "weight"); w.Why == nil || l.Surplus != nil {
		t.Errorf("weights came out of nothing: %+v", w)
	}
	var out bytes.Buffer
	fatal.If(t, l.Text(&out, phrase.English()))
	telltest.Fits(t, out.String())
	telltest.Says(t, out.String(), "Check 38", "Western Electric 1", "Cpk 1.66", "No chart: no slice's own weight", phrase.English().Word("caution"))
}

// Ten slices of 13 g against an aim of 12: 100 g above for 100, 4.80 at 48 a kg.
func TestSurplus(t *testing.T) {
	var checks []Check
	for i := range 2 {
		c := Check{At: time.Unix(int64(i), 0)}
		for n := range 5 {
			w := 12.9 + 0.05*float64(n)
			c.Slices = append(c.Slices, piece.Piece{State: piece.Measured, Length: piece.Of(80, 0), Width: piece.Of(35, 0), Weight: piece.Of(w, 0)})
		}
		checks = append(checks, c)
	}
	l := Of("lunch", checks, ControlPlan{Standard: standard.Default(), PricePerKg: 48})
	if l.Surplus == nil || math.Abs(l.Surplus.Grams-100) > 1e-9 || math.Abs(l.Surplus.Cost-4.8) > 1e-9 {
		t.Errorf("surplus %+v", l.Surplus)
	}
	if got := phrase.English().Must(l.surplus()); !strings.Contains(got, "100 ± 5 g more") || !strings.Contains(got, "4.80 more") {
		t.Errorf("text %q", got)
	}
	// All lengths are the same: a chart, but no capability and no signal.
	if m := measure(t, l, "length"); m.Capability != nil || len(m.Mean) > 0 || m.Why != nil {
		t.Errorf("without spread: %+v", m)
	}
	var out bytes.Buffer
	fatal.If(t, l.HTML(&out, phrase.English()))
}

// A report's page and drawings are in the reader's language.
func TestReportInJapanese(t *testing.T) {
	l, dir := Of("lunch", rings(t), ControlPlan{Standard: standard.Default()}), t.TempDir()
	page, err := l.Report(dir, phrase.InTag("ja"), false, nil)
	fatal.If(t, err)
	text, err := os.ReadFile(page)
	if err != nil || !strings.Contains(string(text), `<html lang="ja">`) || !strings.Contains(string(text), phrase.InTag("ja").Word("caution")) || strings.Contains(string(text), phrase.English().Word("share-source")) {
		t.Errorf("%v\n%s", err, text)
	}
	drawings, err := filepath.Glob(filepath.Join(dir, "*.svg"))
	if err != nil || len(drawings) == 0 || len(drawings)%2 != 0 {
		t.Errorf("%v, %v", drawings, err)
	}
}

// A name is shown as it was entered and never becomes part of the page.
func TestHostileNames(t *testing.T) {
	checks := rings(t)
	for i := range checks {
		checks[i].Who, checks[i].File = `<script>alert(1)</script>`, `" onload="x`
	}
	l := Of(`<img src=x onerror=alert(1)>`, checks, ControlPlan{Standard: standard.Default()})
	var out bytes.Buffer
	fatal.If(t, l.HTML(&out, phrase.English()))
	root, err := html.Parse(&out)
	fatal.If(t, err)
	for n := range root.Descendants() {
		if n.Type == html.ElementNode && n.Data == "script" {
			t.Error("a name became a script")
		}
		for _, a := range n.Attr {
			if strings.HasPrefix(a.Key, "on") || a.Key == "src" && !strings.HasPrefix(a.Val, "data:image/svg+xml;base64,") {
				t.Errorf("attribute %s=%.40q", a.Key, a.Val)
			}
		}
	}
}

// Limits from fewer than 20 checks are trial limits (Montgomery, Introduction to
// Statistical Quality Control; from memory).
func TestTrial(t *testing.T) {
	for _, c := range []struct {
		base, checks int
		early        bool
	}{{0, 19, true}, {0, 20, false}, {8, 40, true}, {20, 21, false}} {
		l := Line{Checks: make([]Check, c.checks)}
		l.Plan.Base = c.base
		if trial := l.Trial(); (trial != nil) != c.early {
			t.Errorf("limits from the first %d of %d checks: %v", c.base, c.checks, trial)
		}
	}
}

func TestTooFewChecks(t *testing.T) {
	one := rings(t)[:1]
	for name, l := range map[string]Line{
		"one check":           Of("x", one, ControlPlan{Standard: standard.Default()}),
		"checks of one slice": Of("x", []Check{{Slices: one[0].Slices[:1]}, {Slices: one[0].Slices[:1]}}, ControlPlan{Standard: standard.Default()}),
		"base too large":      Of("x", rings(t)[:5], ControlPlan{Standard: standard.Default(), Base: 6}),
	} {
		if m := measure(t, l, "length"); m.Why == nil {
			t.Errorf("%s: a chart all the same", name)
		}
		var out bytes.Buffer
		if err := l.Text(&out, phrase.English()); err != nil || !strings.Contains(out.String(), "No chart") {
			t.Errorf("%s: %v\n%s", name, err, &out)
		}
		if err := l.HTML(&out, phrase.English()); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The book gives back each photo once, in the order of time, as last measured.
func TestLoad(t *testing.T) {
	ctx := t.Context()
	b, err := book.Temporary(ctx)
	fatal.If(t, err)
	defer b.Close()
	if got, err := Load(ctx, b, "lunch", book.Span{}); err != nil || len(got) > 0 {
		t.Errorf("a line without checks has %v, %v", got, err)
	}
	noon := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	for i, k := range []struct {
		photo, species string
		at             time.Duration
		length         float64
	}{{"b", "first", time.Hour, 70}, {"a", "first", 0, 80}, {"b", "second", time.Hour, 75}} {
		hash, err := b.Ticket(ctx, ticket.Ticket{Species: k.species})
		fatal.If(t, err)
		id, err := b.Keep(ctx, book.Key{Photo: k.photo, Ticket: hash, Program: "v1"}, piece.Tray{Status: piece.TrayMeasured,
			Pieces: []piece.Piece{{Number: 1, State: piece.Measured, Length: piece.Of(k.length, 0)}}}, book.Pictures{})
		fatal.If(t, err)
		for range 2 {
			if _, _, err := b.AddSpotCheck(ctx, book.SpotCheck{Result: id, Line: "lunch", File: fmt.Sprint(i), CheckedAt: noon.Add(k.at)}); err != nil {
				t.Fatal(err)
			}
		}
	}
	got, err := Load(ctx, b, "lunch", book.Span{})
	if err != nil || len(got) != 2 || got[0].Slices[0].Length.X != 80 || got[1].Slices[0].Length.X != 75 || got[0].Number != 1 || got[1].Number != 2 {
		t.Errorf("%+v, %v", got, err)
	}
}
