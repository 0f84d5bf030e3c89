package account

import (
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// Throttle slows down whoever tries something again and again: each address
// with a bucket of its own, and all of them together.
type Throttle struct {
	each  rate.Limit
	burst int
	all   *rate.Limiter // nil for no bound on all together

	mu   sync.Mutex
	seen map[string]*bucket
}

type bucket struct {
	*rate.Limiter
	last time.Time
}

// maxSeen is how many addresses are remembered; past it those with a full
// bucket are forgotten, which changes nothing for them.
const maxSeen = 4096

// NewThrottle lets each address begin with burst tries, then one every wait; all
// together may begin with allBurst, then one every allWait, unless allBurst is 0.
func NewThrottle(burst int, wait time.Duration, allBurst int, allWait time.Duration) *Throttle {
	t := &Throttle{each: rate.Every(wait), burst: burst, seen: map[string]*bucket{}}
	if allBurst > 0 {
		t.all = rate.NewLimiter(rate.Every(allWait), allBurst)
	}
	return t
}

// Allow takes one try of an address, or says how long to wait for the next.
func (t *Throttle) Allow(address string) (wait time.Duration, ok bool) {
	now := time.Now()
	own := t.of(address, now).ReserveN(now, 1)
	if d := own.DelayFrom(now); d > 0 {
		own.CancelAt(now)
		return d, false
	}
	if t.all == nil {
		return 0, true
	}
	common := t.all.ReserveN(now, 1)
	if d := common.DelayFrom(now); d > 0 {
		common.CancelAt(now)
		own.CancelAt(now)
		return d, false
	}
	return 0, true
}

func (t *Throttle) of(address string, now time.Time) *bucket {
	t.mu.Lock()
	defer t.mu.Unlock()
	b := t.seen[address]
	if b == nil {
		if len(t.seen) >= maxSeen {
			t.forget(now)
		}
		b = &bucket{Limiter: rate.NewLimiter(t.each, t.burst)}
		t.seen[address] = b
	}
	b.last = now
	return b
}

// forget drops full buckets, or everything when none is full: memory is bounded
// whatever strangers do, and the bound on all together still holds.
func (t *Throttle) forget(now time.Time) {
	for a, b := range t.seen {
		if b.TokensAt(now) >= float64(t.burst) {
			delete(t.seen, a)
		}
	}
	if len(t.seen) >= maxSeen {
		clear(t.seen)
	}
}
