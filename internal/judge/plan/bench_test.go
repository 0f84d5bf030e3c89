package plan

import (
	"context"
	"math"
	"syscall"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/fatal"
)

// cpu reports the processor's time of a benchmark's rounds, whatever else the
// machine does meanwhile.
func cpu(b *testing.B) (stop func()) {
	used := func() time.Duration {
		var u syscall.Rusage
		fatal.If(b, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
		return time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	from := used()
	return func() { b.ReportMetric((used()-from).Seconds()/float64(b.N), "cpu-s/op") }
}

// A block as long as the largest mat's field, as a photo gives it: a section
// every 4 mm, and two ends askew that no first cut suits.
func BenchmarkPhotographedBlock(b *testing.B) {
	var outline []r2.Vec
	for _, side := range []float64{1, -1} {
		for i := range 93 {
			x := 4 * float64(i)
			if side < 0 {
				x = 368 - x
			}
			outline = append(outline, r2.Vec{X: x + 0.4*side*22, Y: 150 + side*(14+22*math.Sqrt(math.Sin(math.Pi*(x+4)/380)))})
		}
	}
	block, _, err := FromOutline(outline, []HeightAt{Even(0, 12), Even(180, 26)}, Left)
	fatal.If(b, err)
	defer cpu(b)()
	for b.Loop() {
		if _, err := Make(context.Background(), block, nigiri, "general", DefaultOptions()); err != nil {
			b.Fatal(err)
		}
	}
}

// What slopes from side to side takes longest: blocks as long as the largest
// mat's field, and one of 1.7 m.
func BenchmarkMake(b *testing.B) {
	for name, stations := range map[string][]Station{
		"bar":   {At(0, 56, 20), At(370, 56, 20)},
		"loin":  {At(0, 45, 18), At(370, 75, 30)},
		"belly": {Sloping(0, 70, 4, 13, 22), Sloping(370, 70, 4, 13, 22)},
		"temmi": {Sloping(0, 50, 0, 15, 30), Sloping(370, 50, 0, 15, 30)},
		"1.7 m": {At(0, 45, 18), At(1700, 75, 30)},
	} {
		block, err := NewBlock(stations)
		fatal.If(b, err)
		b.Run(name, func(b *testing.B) {
			defer cpu(b)()
			for b.Loop() {
				if _, err := Make(context.Background(), block, nigiri, "general", DefaultOptions()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
