package weight

import (
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/uncertainty"
)

// What both photos show counts before what was told for the tray, piece by
// piece.
func TestSeenBeforeTold(t *testing.T) {
	told, err := ParseThickness("4")
	fatal.If(t, err)
	s := Seen{Each: map[int]uncertainty.Value{2: {X: 5.1, U: 0.05}}, Otherwise: told}
	for n, want := range map[int]string{1: FromEntered, 2: FromSecondPhoto} {
		if got, known := s.Of(n); !known || got.Source != want {
			t.Errorf("piece %d: thickness from %q, want %q", n, got.Source, want)
		}
	}
	if _, known := (Seen{Each: s.Each}).Of(1); known {
		t.Error("a piece that nothing tells of has a thickness")
	}
	ws, err := s.Weigh([]Piece{{Number: 1, Slice: plainSlice(2700)}, {Number: 2, Slice: plainSlice(2700)}}, densityOf(1.05, 0.001))
	if err != nil || len(ws) != 2 {
		t.Fatalf("%d of 2 pieces weighed: %v", len(ws), err)
	}
	near(t, "weight of the piece that is seen", ws[1].X, 2700*5.1*1.05/1000, 1e-9)
}
