package book

import (
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
)

// A book that the program wrote when pieces had a table of their own, with the
// report rounded beside it, is brought up to date with nothing lost: every number
// is the unrounded one, every fault and decision is there, and the board's way to
// it works. testdata/README.md says how the book was made.
func TestOldBook(t *testing.T) {
	old := filepath.Join(t.TempDir(), "book.sqlite")
	data, err := os.ReadFile("../../../testdata/book/before-one-truth.sqlite")
	fatal.If(t, err)
	fatal.If(t, os.WriteFile(old, data, 0o600))
	want := oldPieces(t, old)
	b, err := Open(t.Context(), old)
	fatal.If(t, err)
	defer b.Close()
	got := map[string]string{}
	runs, err := b.History(t.Context(), time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC))
	if err != nil || len(runs) != 2 {
		t.Fatalf("sessions %+v, %v; want two", runs, err)
	}
	reports := map[int64]piece.Tray{}
	err = b.eachReport(t.Context(), b.db, `id > ?`, 0, func(id int64, r piece.Tray) error {
		reports[id] = r
		return nil
	})
	fatal.If(t, err)
	for id, r := range reports {
		for _, p := range r.Pieces {
			got[fmt.Sprintf("%d/%d", id, p.Number)] = fmt.Sprintln(p.State, p.Verdict, p.Length, p.Width, p.Area, p.Thickness.X, p.Weight, p.Cover.X, p.Taper.X, piece.Names(p.Faults, ","))
			if len(p.Outline) == 0 || p.State == piece.Measured && (len(p.WidthProfile) != 21 || p.Thickness.Source == "" || p.Thickness.U == 0) {
				t.Errorf("result %d, piece %d lost its outline, profile or thickness: %+v", id, p.Number, p)
			}
			for _, f := range p.Faults {
				if f.Of() == nil || f.Side() == piece.Neither || f.Low == nil {
					t.Errorf("result %d, piece %d: the fault %+v has no measure, side or limit", id, p.Number, f)
				}
			}
		}
	}
	if len(got) != len(want) || len(want) != 30 {
		t.Errorf("%d pieces, there were %d, and 30 were written", len(got), len(want))
	}
	for key, w := range want {
		if got[key] != w {
			t.Errorf("piece %s reads\n%s, was\n%s", key, got[key], w)
		}
	}
	entries, err := b.Entries(t.Context(), runs[0].ID)
	if err != nil || len(entries) != 3 {
		t.Fatalf("entries %+v, %v", entries, err)
	}
	i := slices.IndexFunc(entries, func(e Entry) bool { return e.File == "ben.jpg" })
	overrides, err := b.Overrides(t.Context(), entries[i].Photo)
	if err != nil || len(overrides) != 1 || overrides[0].Piece != 2 || overrides[0].At[0] != 148.21427313658424 {
		t.Errorf("overrides %+v, %v", overrides, err)
	}
}

// oldPieces reads the table as the program of that time did.
func oldPieces(t *testing.T, path string) map[string]string {
	t.Helper()
	db, err := sql.Open("sqlite3", "file:"+path+"?mode=ro")
	fatal.If(t, err)
	defer db.Close()
	rows, err := db.Query(`SELECT result_id, number, state, coalesce(verdict, ''), length_mm, length_u_mm, width_mm, width_u_mm,
		area_mm2, area_u_mm2, thickness_mm, weight_g, weight_u_g, rice_cover, taper, coalesce(faults, '') FROM piece`)
	fatal.If(t, err)
	defer rows.Close()
	out := map[string]string{}
	for rows.Next() {
		var id, number int
		var state, verdict, faults string
		var n [11]sql.NullFloat64
		fatal.If(t, rows.Scan(&id, &number, &state, &verdict, &n[0], &n[1], &n[2], &n[3], &n[4], &n[5], &n[6], &n[7], &n[8], &n[9], &n[10], &faults))
		of := func(x, u sql.NullFloat64) piece.Value { return piece.Value{X: x.Float64, U: u.Float64, Known: x.Valid} }
		out[fmt.Sprintf("%d/%d", id, number)] = fmt.Sprintln(state, verdict, of(n[0], n[1]), of(n[2], n[3]), of(n[4], n[5]), n[6].Float64, of(n[7], n[8]), n[9].Float64, n[10].Float64, faults)
	}
	if err := rows.Err(); err != nil || !strings.Contains(fmt.Sprint(out), "fail") {
		t.Fatalf("the old book holds no failing piece, %v", err)
	}
	return out
}
