package book

import (
	"math"
	"slices"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
)

// What a tray comes to follows what people say of its slices, and is kept once.
func TestSumUp(t *testing.T) {
	ctx, b := t.Context(), open4test(t)
	told := ticket.Ticket{Standard: standard.Default(), Species: "salmon"}
	hash, err := b.Ticket(ctx, told)
	fatal.If(t, err)
	at := func(n int) [][2]float64 {
		y := 40 * float64(n)
		return [][2]float64{{40, y}, {120, y}, {120, y + 30}, {40, y + 30}}
	}
	report := piece.Tray{Status: piece.TrayMeasured}
	for i, length := range []float64{78, 80, 90} {
		p := piece.Piece{Number: i + 1, State: piece.Measured, Outline: at(i), Length: piece.Of(length, 0.5), Width: piece.Of(35, 0.5), Verdict: piece.Pass}
		if length > 85 {
			p.Verdict = piece.Fail
		}
		report.Pieces = append(report.Pieces, p)
	}
	report.Pieces = append(report.Pieces, piece.Piece{Number: 4, State: piece.Touching, Outline: at(4)})
	photo := Hash([]byte("a tray"))
	id, err := b.Keep(ctx, Key{photo, hash, "v1"}, report, Pictures{})
	fatal.If(t, err)
	check := SpotCheck{Result: id, Line: "lunch", Photo: photo, CheckedAt: time.Date(2026, 11, 25, 12, 0, 0, 0, time.Local)}
	if _, _, err := b.AddSpotCheck(ctx, check); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		fatal.If(t, b.SumUpLine(ctx, "lunch", 10))
	}
	day := func() Tally {
		t.Helper()
		all, err := b.TalliesOn(ctx, "2026-11-25")
		if err != nil || len(all) != 1 {
			t.Fatalf("%+v, %v", all, err)
		}
		return all[0]
	}
	got := day()
	if got.Good != 2 || got.Slices != 3 || got.Missing != 2 || got.Of[piece.Weight].N != 0 {
		t.Errorf("%+v", got)
	}
	// 78, 80, 90: mean 82.667, standard deviation √41.33 = 6.429
	if l := got.Of[piece.Length]; l.N != 3 || math.Abs(l.Mean-82.6667) > 1e-3 || math.Abs(l.SD-6.4291) > 1e-3 || l.Aim != told.Standard.Length.Aim {
		t.Errorf("lengths %+v", l)
	}
	fatal.If(t, b.Override(ctx, photo, piece.Override{Piece: 3, At: report.Pieces[2].Middle(), Kind: piece.SaidGood, Reason: "for a large nigiri", Who: "Mori"}))
	fatal.If(t, b.SumUpAnew(ctx, photo))
	if got := day(); got.Good != 3 || got.Slices != 3 {
		t.Errorf("after an instructor's word: %+v", got)
	}
	if last, err := b.TalliesLast(ctx, "lunch", 5); err != nil || len(last) != 1 || last[0].Result != id {
		t.Errorf("%+v, %v", last, err)
	}
	later := Tally{Kind: "line", Name: "lunch", Photo: Hash([]byte("a later tray")), Result: id, Day: "2026-11-25", At: check.CheckedAt.Add(time.Hour)}
	fatal.If(t, b.SumUp(ctx, later))
	if last, err := b.TalliesLast(ctx, "lunch", 1); err != nil || len(last) != 1 || last[0].Photo != later.Photo {
		t.Errorf("the last check is %+v, %v", last, err)
	}
	fatal.If(t, b.DropTally(ctx, "line", "lunch", later.Photo))
	// As kept; where that is of before, of another result or of nobody's, from the report.
	asked := []Tally{{Kind: "line", Name: "lunch", Photo: photo, Result: id}, {Kind: "class", Name: "Monday", Photo: photo, Result: id}}
	for _, kept := range []int64{3, -1} {
		if _, err := b.db.ExecContext(ctx, `UPDATE tally SET good = 1, thickness_n = $1`, kept); err != nil {
			t.Fatal(err)
		}
		sums, err := b.Sums(ctx, asked)
		if err != nil || len(sums) != 2 || (sums[0].Good == 1) != (kept == 3) || sums[1].Good != 3 || sums[1].Of[piece.Length].N != 3 {
			t.Errorf("%d: %+v, %v", kept, sums, err)
		}
	}
	// What is said to be no slice is in no mean.
	fatal.If(t, b.Override(ctx, photo, piece.Override{Piece: 3, At: report.Pieces[2].Middle(), Kind: piece.NotASlice, Reason: "a scrap", Who: "Mori"}))
	fatal.If(t, b.SumUpAnew(ctx, photo))
	if l := day().Of[piece.Length]; l.N != 2 || l.Mean != 79 {
		t.Errorf("without the scrap: %+v", l)
	}
	fatal.If(t, b.DropTally(ctx, "line", "lunch", photo))
	if all, err := b.TalliesOn(ctx, "2026-11-25"); err != nil || len(all) != 0 {
		t.Errorf("%+v, %v", all, err)
	}
}

// Whatever follows the hand is summed up.
func TestHandIsTallied(t *testing.T) {
	for _, m := range piece.OfHand() {
		if !slices.Contains(Tallied, m) {
			t.Errorf("%s is not summed up: it needs columns", m.Key)
		}
	}
}
