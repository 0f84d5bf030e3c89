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
	Each, All Budget
	atOnce    int // tries of one address that may be under way

	mu     sync.Mutex
	seen   map[string]*bucket
	common bucket
	now    func() time.Time
}

// bucket is what somebody owes: when all will be forgiven.
type bucket struct {
	free    time.Time
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
	return &Throttle{Each: each, All: all, atOnce: atOnce, seen: map[string]*bucket{}, now: time.Now}
}

// Try begins a try of an address, or says how long to wait for the next: then done
// is nil. Otherwise done must be called with whether it was in vain.
func (t *Throttle) Try(address string) (done func(inVain bool), wait time.Duration) {
	t.mu.Lock()
	defer t.mu.Unlock()
	now := t.now()
	own := t.of(address, now)
	if own.pending >= t.atOnce {
		return nil, time.Second
	}
	if wait := t.Wait(own.owes(now), t.common.owes(now)); wait > 0 {
		return nil, wait
	}
	own.pending++
	return func(inVain bool) { t.done(own, inVain) }, 0
}

// Wait is how long somebody waits for the next try: by how long it takes until all is
// forgiven that this one tried in vain, and that all of them did.
func (t *Throttle) Wait(own, all time.Duration) time.Duration {
	if wait := t.Each.until(own); wait > 0 {
		return wait
	}
	if t.All.Burst > 0 && own >= mistyped*t.Each.Wait {
		return max(0, t.All.until(all))
	}
	return 0
}

func (t *Throttle) done(own *bucket, inVain bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	own.pending--
	if inVain {
		now := t.now()
		own.free = now.Add(own.owes(now) + t.Each.Wait)
		t.common.free = now.Add(min(t.common.owes(now)+t.All.Wait, t.All.Most()))
	}
}

func (b *bucket) owes(now time.Time) time.Duration { return max(0, b.free.Sub(now)) }

// until is the time to the next try of who owes so much; below 0 where there are tries left.
func (b Budget) until(owed time.Duration) time.Duration {
	return owed - time.Duration(b.Burst-1)*b.Wait
}

// Most is as much as anybody can owe.
func (b Budget) Most() time.Duration { return time.Duration(b.Burst) * b.Wait }

func (t *Throttle) of(address string, now time.Time) *bucket {
	b := t.seen[address]
	if b == nil {
		if len(t.seen) >= maxSeen {
			t.forget(now)
		}
		b = &bucket{}
		t.seen[address] = b
	}
	return b
}

// forget drops addresses that have nothing to forgive, or all where there is none
// such: memory is bounded whatever strangers do.
func (t *Throttle) forget(now time.Time) {
	for a, b := range t.seen {
		if b.owes(now) == 0 && b.pending == 0 {
			delete(t.seen, a)
		}
	}
	if len(t.seen) >= maxSeen {
		clear(t.seen)
	}
}
