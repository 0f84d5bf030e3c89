package gate

import (
	"sync"
	"time"
)

// Budget is how often something may be tried in vain: so often at once, then once
// every Wait.
type Budget struct {
	Burst int
	Wait  time.Duration
}

// Throttle slows down who tries something in vain again and again: each address by
// a budget of its own, and those that failed more than a few times by one for all
// of them together. What goes well costs nothing, so neither a class behind one
// address nor somebody who has mistyped waits for what strangers do.
type Throttle struct {
	each, all Budget
	atOnce    int // tries of one address that may be under way

	mu     sync.Mutex
	seen   map[string]*bucket
	common bucket
	now    func() time.Time
}

// bucket is what is left of a budget.
type bucket struct {
	spent   float64 // tries of the budget, at the time below
	at      time.Time
	pending int
}

// Addresses remembered, past which those that have nothing to forgive are
// forgotten; and how often one may fail before the budget of all counts.
const (
	maxSeen  = 4096
	mistyped = 5
)

// NewThrottle gives each address a budget, and one to all of them together, unless
// that is empty.
func NewThrottle(each, all Budget, atOnce int) *Throttle {
	return &Throttle{each: each, all: all, atOnce: atOnce, seen: map[string]*bucket{}, now: time.Now}
}

// Try begins a try of an address, or says how long to wait for the next: then done
// is nil. Otherwise done must be called with whether it was in vain.
func (t *Throttle) Try(address string) (done func(inVain bool), wait time.Duration) {
	t.mu.Lock()
	defer t.mu.Unlock()
	now := t.now()
	own := t.of(address, now)
	own.pay(t.each, now)
	if t.all.Burst > 0 {
		t.common.pay(t.all, now)
	}
	switch {
	case own.pending >= t.atOnce:
		return nil, time.Second
	case own.spent > float64(t.each.Burst)-1:
		return nil, own.until(t.each)
	case t.all.Burst > 0 && own.spent >= mistyped && t.common.spent > float64(t.all.Burst)-1:
		return nil, t.common.until(t.all)
	}
	own.pending++
	return func(inVain bool) { t.done(own, inVain) }, 0
}

func (t *Throttle) done(own *bucket, inVain bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	own.pending--
	if inVain {
		own.spent++
		t.common.spent = min(t.common.spent+1, float64(t.all.Burst))
	}
}

// pay lets time take away from what was spent.
func (b *bucket) pay(of Budget, now time.Time) {
	b.spent = max(0, b.spent-now.Sub(b.at).Seconds()/of.Wait.Seconds())
	b.at = now
}

// until is the time to the next try.
func (b *bucket) until(of Budget) time.Duration {
	return time.Duration((b.spent + 1 - float64(of.Burst)) * float64(of.Wait))
}

func (t *Throttle) of(address string, now time.Time) *bucket {
	b := t.seen[address]
	if b == nil {
		if len(t.seen) >= maxSeen {
			t.forget(now)
		}
		b = &bucket{at: now}
		t.seen[address] = b
	}
	return b
}

// forget drops addresses that have nothing to forgive, or all where there is none
// such: memory is bounded whatever strangers do.
func (t *Throttle) forget(now time.Time) {
	for a, b := range t.seen {
		if b.pay(t.each, now); b.spent == 0 && b.pending == 0 {
			delete(t.seen, a)
		}
	}
	if len(t.seen) >= maxSeen {
		clear(t.seen)
	}
}
