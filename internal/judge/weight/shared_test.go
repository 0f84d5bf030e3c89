package weight

import (
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/uncertainty"
)

// What is told of a whole tray is no slice's own, what is told or seen of a slice is.
func TestShared(t *testing.T) {
	pieces := []Piece{{1, Slice{Area: uncertainty.Value{X: 2700, U: 20}, Extent: 80}}, {2, Slice{Area: uncertainty.Value{X: 2500, U: 20}, Extent: 80}}}
	source := func(s Source, err error) Source {
		t.Helper()
		fatal.If(t, err)
		return s
	}
	tray, err := ParseTrayWeight("24.0")
	one, errOne := ParseThickness("4.2")
	each, errEach := ParseThickness("1:4.2,2:4.4")
	pitch, errPitch := ParsePitch("6.0", 45, 90)
	readings, errScale := ParseWeights("1:11.8,2:11.2", "")
	for name, c := range map[string]struct {
		from   Source
		shared bool
	}{
		"tray weight":    {source(tray, err), true},
		"one thickness":  {source(one, errOne), true},
		"pitch":          {source(pitch, errPitch), true},
		"slice by slice": {source(each, errEach), false},
		"on a scale":     {source(OnScale{readings, one}, errScale), false},
		"by both photos": {Seen{Each: map[int]uncertainty.Value{1: {X: 4, U: .1}, 2: {X: 4, U: .1}}}, false},
	} {
		ws, err := c.from.Weigh(pieces, Density{Value: uncertainty.Value{X: 1.05, U: .01}})
		if err != nil || len(ws) != 2 {
			t.Fatalf("%s: %v, %v", name, ws, err)
		}
		for _, w := range ws {
			if w.Shared != c.shared {
				t.Errorf("%s: slice %d rests on the whole tray: %v", name, w.Number, w.Shared)
			}
			if name == "tray weight" && !w.Thickness.Shared {
				t.Errorf("%s: the thickness of slice %d is called its own", name, w.Number)
			}
		}
	}
}
