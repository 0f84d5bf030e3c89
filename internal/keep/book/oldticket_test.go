package book

import (
	"compress/gzip"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/judge/weight"
)

// before is a book as class and line wrote it when what they were told was kept
// as a sentence; testdata/before/README.md says how it was made.
func before(t *testing.T) *Book {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "..", "testdata", "before", "book.sqlite.gz"))
	fatal.If(t, err)
	defer f.Close()
	unpacked, err := gzip.NewReader(f)
	fatal.If(t, err)
	data, err := io.ReadAll(unpacked)
	fatal.If(t, err)
	path := filepath.Join(t.TempDir(), "book.sqlite")
	fatal.If(t, os.WriteFile(path, data, 0o600))
	b, err := Open(t.Context(), path)
	fatal.If(t, err)
	t.Cleanup(func() { b.Close() })
	return b
}

func TestOldTickets(t *testing.T) {
	b := before(t)
	runs, err := b.History(t.Context(), time.Date(2026, 12, 1, 0, 0, 0, 0, time.UTC))
	if err != nil || len(runs) != 1 {
		t.Fatalf("%v, %v; want one session", runs, err)
	}
	got, err := b.TicketOf(t.Context(), runs[0].ID)
	fatal.If(t, err)
	if got.Species != "salmon" || got.Thickness != "4" || got.Temperature != "5" || got.Standard.Name != "nigiri" || got.Standard.Length != standard.Default().Length || got.Standard.Grading.Weight != 20 || got.Check() != nil {
		t.Errorf("ticket %+v", got)
	}
	if rows := left(t, b); rows != 0 {
		t.Errorf("%d rows are still as they were", rows)
	}
	checks, err := b.SpotChecks(t.Context(), "lunch", Span{})
	if err != nil || len(checks) != 2 {
		t.Errorf("%d spot checks, %v; want 2", len(checks), err)
	}
}

func left(t *testing.T, b *Book) (n int) {
	t.Helper()
	fatal.If(t, b.db.QueryRowContext(t.Context(), `SELECT count(*) FROM ticket WHERE json_type(json, '$.Matter') IS NOT NULL`).Scan(&n))
	return n
}

func TestSentenceBecomesATicket(t *testing.T) {
	old := sentenceTicket{
		Ticket: ticket.Ticket{Species: "pond carp"}, Group: "white",
		Matter: "thickness 4.2 mm, density 1.05 g/cm³, lay angle 45°, knife step 8 mm, profile carp-ann.toml, temperature 2.5 °C",
	}
	got := old.parsed()
	if got.Thickness != "4.2" || got.Density != "1.05" || got.LayAngle != "45" || got.Pitch != "8" || got.Temperature != "2.5" {
		t.Errorf("%+v", got)
	}
	if got.Profile == nil || got.Profile.Cutter != "carp-ann.toml" {
		t.Errorf("profile %+v", got.Profile)
	}
	if name, group := got.Fish(); name != "pond carp" || group != "white" {
		t.Errorf("%q in group %q", name, group)
	}
	known := sentenceTicket{Ticket: ticket.Ticket{Species: "salmon"}, Group: "general"}.parsed()
	if len(known.OwnSpecies) > 0 || known.Profile != nil {
		t.Errorf("%+v", known)
	}
	if _, err := weight.BuiltIn().Find("pond carp"); err == nil {
		t.Fatal("the table has a pond carp now; take another name here")
	}
}
