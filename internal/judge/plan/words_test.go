package plan

import (
	"testing"

	"netagauge/internal/core/phrase"
)

// What is wrong with a block is told in the words of every language.
func TestWrongBlocksInEveryLanguage(t *testing.T) {
	for name, f := range map[string]func() error{
		"one station":  func() error { _, err := NewBlock([]Station{At(0, 50, 20)}); return err },
		"out of order": func() error { _, err := NewBlock([]Station{At(9, 50, 20), At(3, 50, 20)}); return err },
		"too long":     func() error { _, err := Bar(1e5, 50, 20); return err },
		"too wide":     func() error { _, err := Bar(200, 5000, 20); return err },
		"too high":     func() error { _, err := Bar(200, 50, 2000); return err },
		"no stations":  func() error { _, err := ParseStations("0:42"); return err },
		"no heights":   func() error { _, err := ParseHeights("here:20,there:21"); return err },
		"no density":   func() error { return Options{}.check() },
		"no hand":      func() error { return Options{Density: 1, Hand: "both"}.check() },
		"no tail":      func() error { return Options{Density: 1, Hand: Left}.check() },
		"no stack":     func() error { o := DefaultOptions(); o.Stack = 0; return o.check() },
		"no turn":      func() error { o := DefaultOptions(); o.Turn = 90; return o.check() },
		"no price":     func() error { o := DefaultOptions(); o.Price = -1; return o.check() },
		"no weight":    func() error { o := DefaultOptions(); o.Weight = -1; return o.check() },
		"no steady":    func() error { o := DefaultOptions(); o.Scatter.Cut = 9; return o.check() },
		"no outline":   func() error { _, _, err := FromOutline(nil, nil, Left); return err },
	} {
		err := f()
		for _, l := range phrase.Languages() {
			said, ok := phrase.In(l, err)
			if english := l == phrase.English(); !ok || said == "" || said == err.Error() && !english {
				t.Errorf("%s in %s: %q, %v", name, l.Tag(), said, err)
			}
		}
	}
}
