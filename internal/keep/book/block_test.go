package book

import (
	"slices"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/yield"
)

// Every column comes back as it went in; a block is closed once; of the closed ones the
// last are given, of the open ones all.
func TestBlocks(t *testing.T) {
	b := open4test(t)
	at := time.Date(2026, 11, 2, 8, 0, 0, 0, time.UTC)
	x := yield.Block{Species: "bluefin tuna", Supplier: "harbour", Cutter: "Aoi Test", Grams: 812, PerKg: 48.5, Planned: 44, OpenedAt: at}
	var ids []int64
	for range 4 {
		id, err := b.OpenBlock(t.Context(), x)
		fatal.If(t, err)
		ids = append(ids, id)
	}
	closed := x
	closed.Served, closed.ServedGrams, closed.LeftGrams, closed.Remark = 41, 500.5, 95, "sinew at the tail"
	for i, id := range ids[:3] {
		closed.ID, closed.ClosedAt = id, at.Add(time.Duration(i+1)*time.Hour)
		fatal.If(t, b.CloseBlock(t.Context(), closed))
	}
	if err := b.CloseBlock(t.Context(), closed); err == nil {
		t.Error("closed twice")
	}
	got, err := b.Blocks(t.Context(), 2)
	open := x
	open.ID = ids[3]
	second := closed
	second.ID, second.ClosedAt = ids[1], at.Add(2*time.Hour)
	if err != nil || !slices.Equal(got, []yield.Block{open, closed, second}) {
		t.Errorf("%+v, %v", got, err)
	}
	if _, err := b.OpenBlock(t.Context(), yield.Block{}); err == nil {
		t.Error("a block of nothing was kept")
	}
}

func TestHandovers(t *testing.T) {
	b := open4test(t)
	at := time.Date(2026, 11, 2, 15, 0, 0, 0, time.UTC)
	h := Handover{Line: "lunch", By: "Mori", Remark: "knife 2 to the stone", Summary: []phrase.Text{phrase.Of("count-slices", 7), phrase.Of("state-failed")}, MadeAt: at}
	var err error
	if h.ID, err = b.AddHandover(t.Context(), h); err != nil {
		t.Fatal(err)
	}
	later := h
	later.MadeAt = at.Add(time.Hour)
	if later.ID, err = b.AddHandover(t.Context(), later); err != nil {
		t.Fatal(err)
	}
	got, err := b.Handovers(t.Context(), "lunch", 1)
	if err != nil || len(got) != 1 || got[0].ID != later.ID {
		t.Errorf("%+v, %v", got, err)
	}
	one, err := b.Handover(t.Context(), "lunch", h.ID)
	if err != nil || one.By != "Mori" || one.Remark != h.Remark || one.MadeAt != at || len(one.Summary) != 2 || phrase.English().Must(one.Summary[0]) != "7 slices: " {
		t.Errorf("%+v, %v", one, err)
	}
	if _, err := b.Handover(t.Context(), "dinner", h.ID); err == nil {
		t.Error("another line's")
	}
}
