package task

import (
	"math"
	"testing"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/standard"
)

func TestCheck(t *testing.T) {
	well := Task{Name: "Tuna, ten", Species: "maguro", Block: Block{200, 70, 25}, Slices: 10, Minutes: 12}
	for name, c := range map[string]struct {
		change func(*Task)
		wrong  bool
	}{
		"as it is":        {func(*Task) {}, false},
		"any fish":        {func(t *Task) { t.Species = "" }, false},
		"no block":        {func(t *Task) { t.Block = Block{} }, false},
		"no time":         {func(t *Task) { t.Minutes = 0 }, false},
		"no name":         {func(t *Task) { t.Name = "" }, true},
		"two lines":       {func(t *Task) { t.Name = "a\nb" }, true},
		"unknown fish":    {func(t *Task) { t.Species = "unicorn" }, true},
		"no slices":       {func(t *Task) { t.Slices = 0 }, true},
		"too many":        {func(t *Task) { t.Slices = 201 }, true},
		"piled flat":      {func(t *Task) { t.PileOf, t.Pile = 5, Flat }, false},
		"piled upright":   {func(t *Task) { t.PileOf, t.Pile = 10, Upright }, false},
		"piled by seven":  {func(t *Task) { t.PileOf, t.Pile = 7, Flat }, true},
		"piled somehow":   {func(t *Task) { t.PileOf, t.Pile = 5, "" }, true},
		"nothing piled":   {func(t *Task) { t.PileOf, t.Pile = 0, Flat }, true},
		"half a block":    {func(t *Task) { t.Block.Height = 0 }, true},
		"no number":       {func(t *Task) { t.Block.Width = math.NaN() }, true},
		"endless":         {func(t *Task) { t.Minutes = math.Inf(1) }, true},
		"before it began": {func(t *Task) { t.Minutes = -1 }, true},
	} {
		x := well
		c.change(&x)
		if err := x.Check(); (err != nil) != c.wrong {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestSays(t *testing.T) {
	for want, x := range map[string]Task{
		"10 slices from a block of 200 × 70 × 25 mm, within 12 minutes": {Slices: 10, Block: Block{200, 70, 25}, Minutes: 12},
		"1 slice": {Slices: 1}, "5 slices, within 1 minute": {Slices: 5, Minutes: 1},
		"10 slices, in piles of 5, flat with the koba up": {Slices: 10, PileOf: 5, Pile: Flat}, "20 slices, in piles of 10, upright with the koba down": {Slices: 20, PileOf: 10, Pile: Upright},
	} {
		if got := phrase.English().Must(x.Says()); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

func TestStandard(t *testing.T) {
	house := standard.Default()
	if got := (Task{}).Standard(house); got.Name != house.Name || got.Practice {
		t.Errorf("%+v", got)
	}
	if got := (Task{Practice: true}).Standard(house); !got.Practice || got.Length.Aim <= house.Length.Aim {
		t.Errorf("%+v", got)
	}
}
