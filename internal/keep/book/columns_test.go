package book

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/enginetest"
)

// What is kept comes back in the field that it was in: no two values of a row are
// alike, so that two columns swapped show.
func TestEveryColumnComesBack(t *testing.T) {
	b, ctx := open4test(t), t.Context()
	hash, err := b.Ticket(ctx, ticket.Ticket{Thickness: "4.1"})
	fatal.If(t, err)
	day := time.Date(2026, 11, 23, 0, 0, 0, 0, time.UTC)
	run, err := b.Begin(ctx, "Monday", day, hash, "v1")
	fatal.If(t, err)
	r := sample("tray.jpg")
	r.Status, r.Mat = piece.TrayRefused, &piece.Mat{Label: "K7"}
	r.Problems = []piece.Problem{{Code: "blurred", Message: "soft", Remedy: "hold still"}}
	photo := Hash([]byte("photo"))
	id, err := b.Keep(ctx, Key{photo, hash, "v1"}, r, Pictures{})
	fatal.If(t, err)
	if labels, err := b.Labels(ctx, []int64{id}); err != nil || labels[id] != "K7" {
		t.Errorf("labels %v, %v", labels, err)
	}
	entry := Entry{Result: id, File: "07/tray.jpg", Photo: photo, Label: "07", LabelFrom: "folder", Trainee: "Trainee 7",
		Note: phrase.Of("grade-unmeasured"), Refused: true, Problem: "blurred: soft; hold still"}
	decided := piece.Override{Piece: 2, At: [2]float64{30, 40}, Kind: piece.CountIt, Reason: "butterflied"}
	spot := SpotCheck{Photo: photo, Result: id, Line: "lunch", Who: "station 2", File: "noon.jpg", CheckedAt: day.Add(12 * time.Hour)}
	remark := Remark{Photo: photo, Who: "chef", Says: "new knife"}
	if _, _, err := b.AddSpotCheck(ctx, spot); err != nil {
		t.Fatal(err)
	}
	for _, err := range []error{b.Finish(ctx, run.ID, []Entry{entry}), b.SetPace(ctx, run.Session, "Trainee 7", 12), b.Override(ctx, photo, decided),
		b.AddRemark(ctx, "lunch", remark)} {
		fatal.If(t, err)
	}
	entries, err := b.Entries(ctx, run.ID)
	if len(entries) == 1 {
		entry.ID = entries[0].ID
	}
	same(t, "entries", entries, []Entry{entry}, err)
	checks, err := b.SpotChecks(ctx, "lunch", Span{})
	if len(checks) == 1 {
		spot.ID = checks[0].ID
	}
	same(t, "spot checks", checks, []SpotCheck{spot}, err)
	remarks, err := b.Remarks(ctx, "lunch", []string{photo, "another"})
	if len(remarks[photo]) == 1 {
		remark.MadeAt = remarks[photo][0].MadeAt
	}
	same(t, "remarks", remarks, map[string][]Remark{photo: {remark}}, err)
	elsewhere, err := b.Remarks(ctx, "dinner", []string{photo})
	same(t, "remarks on another line", elsewhere, map[string][]Remark{}, err)
	pace, err := b.Pace(ctx, run.Session)
	same(t, "minutes", pace, map[string]float64{"Trainee 7": 12}, err)
	past, err := b.History(ctx, day)
	run.Finished = true
	if len(past) == 1 {
		run.changes = past[0].changes // of which grade_test tells
	}
	same(t, "runs", past, []Run{run}, err)
	overrides, err := b.Overrides(ctx, photo)
	same(t, "overrides", overrides, []piece.Override{decided}, err)
}

func same(t *testing.T, what string, got, want any, err error) {
	t.Helper()
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%s: %+v, %v; want %+v", what, got, err, want)
	}
}

// The export is of every table that the book has.
func TestExportKnowsEveryTable(t *testing.T) {
	b := open4test(t)
	all := `SELECT name FROM sqlite_master WHERE type IN ('table', 'view') AND name NOT LIKE 'sqlite_%' AND name NOT LIKE 'goose_%'`
	if enginetest.Shared() {
		all = `SELECT table_name FROM information_schema.tables WHERE table_schema = current_schema() AND table_name NOT LIKE '%_version'`
	}
	rows, err := b.db.QueryContext(t.Context(), all)
	fatal.If(t, err)
	defer rows.Close()
	for rows.Next() {
		var name string
		fatal.If(t, rows.Scan(&name))
		if !slices.ContainsFunc(tables, func(is exported) bool { return is.name == name }) {
			t.Errorf("table %s is not exported", name)
		}
	}
}
