package photostest

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/photos"
)

// names that could mean another place, or that some store could not keep, are refused.
func names(t *testing.T, b Bench) {
	for _, name := range []string{"", ".", "..", "../a.jpg", "a/b.jpg", "/etc/passwd", "a\\b", ".hidden", "-flag", "a b.jpg", "a\x00.jpg", "a\n.jpg",
		"a\xff.jpg", "ä.jpg", "a%2f.jpg", "a?x=1", "a#b", "a*b", strings.Repeat("a", 101)} {
		if err := b.Store.Put(t.Context(), name, b.Arrive(t, []byte("x"))); !errors.Is(err, photos.ErrName) {
			t.Errorf("put %q: %v", name, err)
		}
		if f, err := b.Store.Open(t.Context(), name); !errors.Is(err, photos.ErrName) {
			t.Errorf("open %q: %v", name, err)
			f.Close()
		}
		if _, err := b.Store.Stat(t.Context(), name); !errors.Is(err, photos.ErrName) {
			t.Errorf("stat %q: %v", name, err)
		}
		if err := b.Store.Delete(t.Context(), name); !errors.Is(err, photos.ErrName) {
			t.Errorf("delete %q: %v", name, err)
		}
	}
	for _, name := range []string{"a", "A.jpg", "0", "a..b", "a_b-c.d.e", strings.Repeat("a", 100)} {
		b.put(t, name, []byte(name))
		Holds(t, b.Store, name, []byte(name))
	}
	if got := Names(t, b.Store, ""); len(got) != 6 {
		t.Errorf("six names are %v", got)
	}
}

func (b Bench) fill(t *testing.T, n int) (all []string) {
	t.Helper()
	var wait sync.WaitGroup
	places := make(chan int)
	for range 8 {
		wait.Go(func() {
			for i := range places {
				if err := b.Store.Put(t.Context(), fmt.Sprintf("%05d.jpg", i*7919%100_000), b.Arrive(t, []byte{byte(i)})); err != nil {
					t.Error(err)
				}
			}
		})
	}
	for i := range n {
		places <- i
		all = append(all, fmt.Sprintf("%05d.jpg", i*7919%100_000))
	}
	close(places)
	wait.Wait()
	slices.Sort(all)
	return all
}

// listed has more names than one answer of a server holds.
func listed(t *testing.T, b Bench) {
	want := b.fill(t, b.Many)
	if got := Names(t, b.Store, ""); !slices.Equal(got, want) {
		t.Errorf("%d names in order %v; want %d", len(got), slices.IsSorted(got), len(want))
	}
}

func listedFrom(t *testing.T, b Bench) {
	want := b.fill(t, 20)
	for i, name := range want {
		if got := Names(t, b.Store, name); !slices.Equal(got, want[i+1:]) {
			t.Errorf("after %s come %v", name, got)
		}
	}
	if got := Names(t, b.Store, want[3]+"a"); !slices.Equal(got, want[4:]) {
		t.Errorf("after a name that is not there: %v", got)
	}
}

func leftEarly(t *testing.T, b Bench) {
	b.fill(t, 5)
	n := 0
	for range b.Store.List(t.Context(), "") {
		if n++; n == 2 {
			break
		}
	}
	if n != 2 {
		t.Errorf("%d names", n)
	}
}

func listStopped(t *testing.T, b Bench) {
	b.fill(t, 3)
	ctx, stop := context.WithCancel(t.Context())
	stop()
	var last error
	for _, err := range b.Store.List(ctx, "") {
		last = err
	}
	if !errors.Is(last, context.Canceled) {
		t.Errorf("a list that was stopped ends with %v", last)
	}
}

func deleted(t *testing.T, b Bench) {
	b.put(t, "a.jpg", []byte("a"))
	b.put(t, "b.jpg", []byte("b"))
	for range 2 {
		fatal.If(t, b.Store.Delete(t.Context(), "a.jpg"))
	}
	Holds(t, b.Store, "a.jpg", nil)
	Holds(t, b.Store, "b.jpg", []byte("b"))
	b.put(t, "a.jpg", []byte("again"))
	Holds(t, b.Store, "a.jpg", []byte("again"))
}
