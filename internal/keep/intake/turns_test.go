package intake

import (
	"bytes"
	"errors"
	"testing"

	"netagauge/internal/core/fatal"
)

// One phone sends many; another's photo waits for one of them, not for all.
func TestOwnersTakeTurns(t *testing.T) {
	f := open4test(t)
	for i := range 6 {
		receive(t, f, sent("many"), numbered(t, i))
	}
	var order []string
	take := func() {
		s, found, err := f.Next(t.Context())
		if err != nil || !found {
			t.Fatal(found, err)
		}
		order = append(order, s.Owner)
		fatal.If(t, keep(t.Context(), f, s, measured(1), nil))
	}
	take()
	take()
	one := receive(t, f, sent("one"), numbered(t, 20))
	two := receive(t, f, sent("two"), numbered(t, 21))
	receive(t, f, sent("one"), numbered(t, 22))
	for s, want := range map[*Shot]int{&one: 1, &two: 2} { // the first of the four left of many, and each other
		if n, err := f.Ahead(t.Context(), *s); err != nil || n != want {
			t.Errorf("%d are ahead of %s (%v), want %d", n, s.Owner, err, want)
		}
	}
	for range 7 {
		take()
	}
	want := []string{"many", "many", "one", "two", "many", "one", "many", "many", "many"}
	for i := range want {
		if order[i] != want[i] {
			t.Fatalf("measured in the order %v, want %v", order, want)
		}
	}
}

// One owner cannot fill the queue.
func TestQueueFullOfOne(t *testing.T) {
	f := open4test(t)
	f.Limits.Each = 3
	for i := range 3 {
		receive(t, f, sent("many"), numbered(t, i))
	}
	if _, err := f.Receive(t.Context(), sent("many"), bytes.NewReader(numbered(t, 9))); !errors.Is(err, ErrBusy) {
		t.Errorf("a fourth photo: %v", err)
	}
	receive(t, f, sent("one"), numbered(t, 10))
}
