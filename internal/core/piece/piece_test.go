package piece

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
)

func ptr(v float64) *float64 { return &v }

// The side of a fault is that of the limit it was held against: beyond it, or
// nearest to it inside both.
func TestSide(t *testing.T) {
	for _, c := range []struct {
		what      string
		v         float64
		low, high *float64
		side      Side
		key       string
	}{
		{"length", 74, ptr(75), ptr(82), TooLittle, "short"}, {"length", 83, ptr(75), ptr(82), TooMuch, "long"},
		{"length", 81.8, ptr(75), ptr(82), TooMuch, "long"}, {"length", 75.2, ptr(75), ptr(82), TooLittle, "short"},
		{"width", 30, ptr(32), ptr(38), TooLittle, "narrow"}, {"weight", 16, ptr(10), ptr(15), TooMuch, "heavy"},
		{"cover", 0.98, ptr(0.97), nil, TooLittle, "cover"}, {Ragged, 0.9, ptr(0.97), nil, TooLittle, Ragged},
		{"skew", 14.9, nil, ptr(15), TooMuch, "skewed"}, {NoKoba, 0, nil, nil, Neither, NoKoba},
	} {
		f := Fault{What: c.what, Measured: c.v, Low: c.low, High: c.high}
		if f.Side() != c.side || f.Key() != c.key {
			t.Errorf("%s %g: side %d, key %q; want %d, %q", c.what, c.v, f.Side(), f.Key(), c.side, c.key)
		}
	}
}

// Every name in files is one measure's alone, and a piece comes back from JSON as
// it was, its unknown measures unknown.
func TestJSON(t *testing.T) {
	columns := Columns()
	slices.Sort(columns)
	if n := len(slices.Compact(columns)); n != len(Columns()) {
		t.Errorf("%d names, %d of them apart", len(Columns()), n)
	}
	for left := range Measures {
		p := Piece{Number: 3, State: Measured, Verdict: Unsure, Outline: [][2]float64{{1, 2}, {3, 4}}}
		for i, m := range Measures {
			if i != left {
				*m.Of(&p) = Value{X: float64(i) + 1/3., U: 1 / float64(i+7), Known: true, Estimate: i == 2, Source: strings.Repeat("s", i%3)}
			}
		}
		text, err := json.Marshal(p)
		fatal.If(t, err)
		var back Piece
		if err := json.Unmarshal(text, &back); err != nil || !reflect.DeepEqual(back, p) {
			t.Errorf("%v: wrote %+v, read %+v", err, p, back)
		}
		if name := fmt.Sprintf("%q", Measures[left].Column()); strings.Contains(string(text), name) {
			t.Errorf("%s is written and not known: %s", name, text)
		}
	}
	text, err := json.Marshal(Piece{Number: 1, State: CutOff, Length: Of(80, 1), Verdict: Pass})
	if err != nil || string(text) != `{"number":1,"state":"cut-off"}` {
		t.Errorf("a piece that was not measured is written as %s, %v", text, err)
	}
}

// Only what is known of a measured piece itself counts in a spread.
func TestValues(t *testing.T) {
	got := Weight.Values([]Piece{
		{State: Measured, Weight: Of(11, 1)}, {State: Measured}, {State: Measured, Weight: Value{X: 12, Known: true, Estimate: true}},
		{State: Touching, Weight: Of(13, 1)}, {State: Measured, Weight: Of(14, 1)}})
	if !slices.Equal(got, []float64{11, 14}) {
		t.Errorf("%v, want the first and the last", got)
	}
	tray := Tray{Pieces: []Piece{{State: Measured}, {State: CutOff}, {State: Foreign}, {State: Touching}}}
	if len(tray.NotMeasured()) != 2 {
		t.Errorf("not measured: %+v; a card is no slice", tray.NotMeasured())
	}
}

// The two angles of the knife and the step between cuts set length, width, skew and
// thickness (common practice, no source); weight and cover follow from those.
func TestHandSets(t *testing.T) {
	var keys []string
	for _, m := range OfHand() {
		keys = append(keys, m.Key)
	}
	if got := strings.Join(keys, " "); got != "length width thickness skew" {
		t.Errorf("the hand sets %s", got)
	}
}
