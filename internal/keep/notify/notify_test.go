package notify

import (
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/postgrestest"
)

func TestMain(m *testing.M) { postgrestest.Main(m) }

// hearing is a process of its own that hears of a site.
func hearing(t *testing.T, url, site string) (*News, <-chan struct{}) {
	t.Helper()
	n, err := Open(url)
	fatal.If(t, err)
	t.Cleanup(n.Close)
	heard := make(chan struct{}, 1)
	n.Hear(site, func() {
		select {
		case heard <- struct{}{}:
		default:
		}
	})
	within(t, heard, true, "that it listens")
	return n, heard
}

func within(t *testing.T, heard <-chan struct{}, want bool, what string) {
	t.Helper()
	wait := 10 * time.Second
	if !want {
		wait = 3 * breath
	}
	select {
	case <-heard:
		if !want {
			t.Errorf("heard of %s", what)
		}
	case <-time.After(wait):
		if want {
			t.Errorf("did not hear of %s", what)
		}
	}
}

// What one process changes the others hear of, of their site, and it does not hear itself.
func TestHeardByOthers(t *testing.T) {
	url := postgrestest.Start(t).URL()
	a, own := hearing(t, url, "campus")
	_, others := hearing(t, url, "campus")
	_, elsewhere := hearing(t, url, "harbour")
	for range 3 {
		a.Tell("campus")
		within(t, others, true, "a change")
	}
	within(t, elsewhere, false, "a change of another site")
	within(t, own, false, "its own change")
}

// A server that comes back is heard again, and what was missed is looked for.
func TestHeardAfterACrash(t *testing.T) {
	server := postgrestest.Own(t)
	a, _ := hearing(t, server.URL(), "campus")
	_, others := hearing(t, server.URL(), "campus")
	server.Crash(t)
	within(t, others, true, "that changes may have been missed")
	server.Again(t)
	time.Sleep(2 * again)
	select {
	case <-others:
	default:
	}
	a.Tell("campus")
	within(t, others, true, "a change after the crash")
}
