package plan

import (
	"math"
	"testing"
)

// The yield is of the whole block, the start piece too: 1.05 g/cm³ of a prism of
// 56 × 20 × 240 mm is 282.24 g, whatever is made of it.
func TestYieldIsOfTheWholeBlock(t *testing.T) {
	o := DefaultOptions()
	o.Density = 1.05
	p := mustMake(t, block(t, At(0, 56, 20), At(240, 56, 20)), "general", o)
	const whole = 1.05 * 56 * 20 * 240 / 1000
	var served, left float64
	for _, s := range p.Slices {
		served += s.Weight
	}
	for _, c := range p.Offcuts {
		left += c.Weight
	}
	if len(p.Offcuts) == 0 || p.Offcuts[0].Where != p.Start || p.Offcuts[0].Weight <= 0 {
		t.Fatalf("no piece is left at the %s, where cutting starts: %+v", p.Start, p.Offcuts)
	}
	if want := 100 * served / whole; math.Abs(p.Yield-want) > 0.01 {
		t.Errorf("yield is %.2f %%, want %.2f %%: %.1f g of %.1f g", p.Yield, want, served, whole)
	}
	if math.Abs(served+left-whole) > 0.01*whole {
		t.Errorf("slices of %.1f g and offcuts of %.1f g, the block has %.1f g", served, left, whole)
	}
}

// What is served of a trimmed block is plausible: portions are 88 to 91 % of
// skinless fillets (cod 3.23 / 3.55, haddock 2.81 / 3.20, hake 2.90 / 3.19 of the
// live weight each; CWP Handbook of Fishery Statistics, indicative factors for
// converting product weight, after FAO Fisheries Circular 847), and slices at a
// slant leave more at both ends. That at least seven tenths of a bar or a loin
// are served is common practice, no source.
func TestYieldIsPlausible(t *testing.T) {
	for name, b := range map[string]Block{
		"yellowtail": block(t, At(0, 56, 20), At(240, 56, 20)),
		"tuna":       block(t, At(0, 70, 25), At(200, 70, 25)),
		"loin":       block(t, At(0, 45, 18), At(300, 75, 30)),
	} {
		if p := mustMake(t, b, "general", DefaultOptions()); p.Yield < 70 || p.Yield > 92 {
			t.Errorf("%s: %.0f %% served", name, p.Yield)
		}
	}
}
