package conformance

import (
	"bytes"
	"fmt"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/intake"
)

// What a tray costs to be received, and to be settled in its class, on either engine: in
// one run, for people to compare.
func BenchmarkTray(b *testing.B) {
	k := newKitchen(b)
	k.list.Limits.Waiting, k.list.Limits.Each = 1<<30, 1<<30
	var shots []intake.Shot
	b.Run("receive", func(b *testing.B) {
		for i := range b.N {
			s, err := k.list.Receive(b.Context(), sent(fmt.Sprint("Trainee ", i%20)), bytes.NewReader(photo(b, len(shots))))
			fatal.If(b, err)
			shots = append(shots, s)
		}
	})
	b.Run("settle", func(b *testing.B) {
		for range b.N {
			if len(shots) == 0 {
				b.Skip("receive as many before: -benchtime 200x")
			}
			fatal.If(b, k.measure(b.Context(), shots[0]))
			shots = shots[1:]
		}
	})
}
