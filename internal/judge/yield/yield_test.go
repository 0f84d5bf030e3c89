package yield

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.Local) // a Wednesday

func block(species string, grams float64, served int) Block {
	return Block{Species: species, Supplier: "harbour", Cutter: "A", Grams: grams, Served: served, OpenedAt: noon, ClosedAt: noon.Add(time.Hour)}
}

func TestCheck(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*Block)
		wrong  bool
	}{
		"as it is":         {func(*Block) {}, false},
		"open":             {func(b *Block) { b.ClosedAt, b.Served = time.Time{}, -1 }, false},
		"weightless":       {func(b *Block) { b.Grams = 0 }, true},
		"no number":        {func(b *Block) { b.Grams = math.NaN() }, true},
		"more left":        {func(b *Block) { b.LeftGrams = 601 }, true},
		"more served":      {func(b *Block) { b.LeftGrams, b.ServedGrams = 200, 401 }, true},
		"all of it served": {func(b *Block) { b.LeftGrams, b.ServedGrams = 200, 400 }, false},
		"a gift":           {func(b *Block) { b.PerKg = -1 }, true},
		"less than none":   {func(b *Block) { b.Served = -1 }, true},
	} {
		b := block("tuna", 600, 40)
		c.change(&b)
		if err := b.Check(); (err != nil) != c.wrong {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// By hand: 600 g gave 40 slices and 500 g 30, of which 480 and 350 g were weighed.
func TestBy(t *testing.T) {
	a, b := block("tuna", 600, 40), block("tuna", 600, 30)
	a.ServedGrams, a.Planned = 480, 44
	b.ServedGrams, b.LeftGrams = 350, 100
	open := block("tuna", 900, 10)
	open.ClosedAt = time.Time{}
	rows := By([]Block{a, b, open, block("squid", 200, 20), block("squid", 200, 0)}, func(b Block) string { return b.Species })
	if len(rows) != 2 || rows[0].Name != "tuna" || rows[1].Name != "squid" {
		t.Fatalf("%+v", rows)
	}
	r := rows[0]
	if r.Blocks != 2 || r.Slices != 70 || r.Cut != 1100 || r.Planned != 44 || r.OfPlanned != 40 || math.Abs(r.PerSlice.Value-1100./70) > 1e-9 || math.Abs(r.Yield.Value-830./1100) > 1e-9 {
		t.Errorf("%+v", r)
	}
	// Residuals 600 - 40·1100/70 and 500 - 30·1100/70 are ∓28.571; Student's factor for one
	// degree of freedom is 12.706.
	if want := 12.7062 * math.Sqrt(2*28.5714*28.5714/2) / 35; math.Abs(r.PerSlice.High-r.PerSlice.Value-want) > 0.01 {
		t.Errorf("± %.3f, want %.3f", r.PerSlice.High-r.PerSlice.Value, want)
	}
	if s := rows[1].PerSlice; s.Low != 10 || s.High != 10 || rows[1].Yield != nil {
		t.Errorf("%+v", rows[1])
	}
}

// What is foretold holds the truth 95 times in 100, for few slices and many: blocks drawn
// from a normal distribution, a seed for each.
func TestOrderHolds(t *testing.T) {
	for _, n := range []int{30, 300} {
		held := 0
		const rounds = 1500
		for seed := range uint64(rounds) {
			r := rand.New(rand.NewPCG(seed, 7))
			draw := func() float64 { return 15 + 1.2*r.NormFloat64() }
			var past []Block
			for range 6 {
				past = append(past, block("tuna", draw()*40, 40))
			}
			got, ok := Order(past, n)
			if !ok {
				t.Fatal("six blocks tell nothing")
			}
			need, left := 0.0, n
			for left > 0 {
				now := min(left, 40)
				need, left = need+float64(now)*draw(), left-now
			}
			if need >= got.Low && need <= got.High {
				held++
			}
		}
		if share := float64(held) / rounds; share < 0.93 || share > 0.97 {
			t.Errorf("%d slices: %.3f", n, share)
		}
	}
	if _, ok := Order([]Block{block("tuna", 600, 40), block("tuna", 500, 30)}, 40); ok {
		t.Error("two blocks foretell")
	}
}

func TestWeeks(t *testing.T) {
	a, b, c := block("tuna", 600, 40), block("tuna", 600, 40), block("squid", 300, 30)
	a.ServedGrams, a.PerKg = 520, 40 // 13 g each, 1 g over: 40 g, 1.60
	b.ServedGrams, b.PerKg = 470, 50 // .25 g under: -10 g, -.50
	c.ServedGrams, c.PerKg = 270, 30 // 2 g over 7: 60 g, 1.80
	b.ClosedAt = b.ClosedAt.AddDate(0, 0, -3)
	unweighed, unpriced := block("tuna", 600, 40), a
	unweighed.PerKg, unpriced.PerKg = 40, 0
	got := Weeks([]Block{a, b, c, unweighed, unpriced}, func(s string) float64 { return map[string]float64{"tuna": 12, "squid": 7}[s] })
	if len(got) != 2 || got[0].Slices != 70 || math.Abs(got[0].Over-100) > 1e-9 || math.Abs(got[0].Cost-3.4) > 1e-9 || math.Abs(got[1].Over+10) > 1e-9 || math.Abs(got[1].Cost+0.5) > 1e-9 {
		t.Errorf("%+v", got)
	}
	if d := got[0].Monday; d.Weekday() != time.Monday || d.Day() != 23 || got[1].Monday.Day() != 16 {
		t.Errorf("%v, %v", d, got[1].Monday)
	}
}
