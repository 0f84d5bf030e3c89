package gate

import (
	"fmt"
	"testing"
	"time"
)

// clock is a throttle whose time the test moves.
func clock(each, all Budget, atOnce int) (*Throttle, func(time.Duration)) {
	t := NewThrottle(each, all, atOnce)
	at := time.Now()
	t.now = func() time.Time { return at }
	return t, func(d time.Duration) { at = at.Add(d) }
}

// tries is how many of ten are let in.
func tries(t *testing.T, th *Throttle, address string, inVain bool) (n int) {
	t.Helper()
	for range 10 {
		done, wait := th.Try(address)
		if done == nil {
			if wait <= 0 {
				t.Errorf("refused, and to wait %v", wait)
			}
			continue
		}
		n++
		done(inVain)
	}
	return n
}

func TestThrottle(t *testing.T) {
	th, pass := clock(Budget{8, time.Minute}, Budget{12, time.Second}, 3)
	if n := tries(t, th, "honest", false); n != 10 {
		t.Errorf("what goes well was let in %d times of 10", n)
	}
	if a, b, c := tries(t, th, "a", true), tries(t, th, "b", true), tries(t, th, "c", true); a != 8 || b != 5 || c != 5 {
		t.Errorf("addresses failed %d, %d and %d times; want their 8, and then only what is forgiven", a, b, c)
	}
	if n := tries(t, th, "mistyped", true); n != mistyped {
		t.Errorf("somebody new mistyped %d times", n)
	}
	if n := tries(t, th, "honest", false); n != 10 {
		t.Errorf("while others fail, what goes well was let in %d times of 10", n)
	}
	pass(time.Minute)
	if n := tries(t, th, "a", true); n != 1 {
		t.Errorf("a minute later a has %d tries", n)
	}
	pass(time.Hour)
	if n := tries(t, th, "a", true); n != 8 {
		t.Errorf("an hour later a has %d tries", n)
	}
}

func TestAtOnce(t *testing.T) {
	th, _ := clock(Budget{8, time.Minute}, Budget{}, 3)
	var under []func(bool)
	for range 3 {
		done, _ := th.Try("a")
		under = append(under, done)
	}
	if done, _ := th.Try("a"); done != nil {
		t.Error("a fourth try is under way")
	}
	for _, done := range under {
		done(false)
	}
	if n := tries(t, th, "a", true); n != 8 {
		t.Errorf("%d tries after three that went well", n)
	}
}

func TestMemoryIsBounded(t *testing.T) {
	th, _ := clock(Budget{3, time.Minute}, Budget{}, 3)
	for i := range 3 * maxSeen {
		if done, _ := th.Try(fmt.Sprint(i)); done != nil {
			done(true)
		}
	}
	if len(th.seen) > maxSeen {
		t.Errorf("%d addresses are remembered", len(th.seen))
	}
}
