package plan

import (
	"math"
	"testing"
)

// Of three blocks the one that serves most goes first, the last is cut no
// further than is wanted, and what stays whole is a straight piece of the bar.
func TestFill(t *testing.T) {
	var plans []Plan
	for _, b := range []Block{bar(t, 120, 56, 20), bar(t, 300, 56, 20), bar(t, 200, 56, 20)} {
		plans = append(plans, mustMake(t, b, "general", DefaultOptions()))
	}
	all := len(plans[0].Slices) + len(plans[1].Slices) + len(plans[2].Slices)
	for _, c := range []struct{ want, blocks, short int }{{1, 1, 0}, {len(plans[1].Slices), 1, 0}, {len(plans[1].Slices) + 2, 2, 0}, {all, 3, 0}, {all + 7, 3, 7}} {
		shares, short := Fill(plans, c.want)
		got := 0
		for _, s := range shares {
			got += s.Slices
		}
		if len(shares) != c.blocks || short != c.short || got != c.want-c.short || shares[0].Block != 1 {
			t.Errorf("%d wanted: %+v, %d short", c.want, shares, short)
		}
		last := shares[len(shares)-1]
		p := plans[last.Block]
		if whole := p.Density * 56 * 20 * (p.block.Length() - last.Length) / 1000; math.Abs(last.Whole-whole) > 1e-6 {
			t.Errorf("%d wanted: %.2f g stay whole, %.1f mm of the bar are %.2f", c.want, last.Whole, p.block.Length()-last.Length, whole)
		}
	}
}
