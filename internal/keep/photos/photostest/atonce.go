package photostest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/photos"
)

func atOnce(t *testing.T, b Bench) {
	var all sync.WaitGroup
	for i := range 40 {
		all.Go(func() {
			name, data := fmt.Sprintf("p%d.jpg", i), Random(uint64(i), 20_000+i)
			if err := b.Store.Put(t.Context(), name, b.Arrive(t, data)); err != nil {
				t.Error(err)
			}
			Holds(t, b.Store, name, data)
		})
	}
	all.Wait()
	if got := Names(t, b.Store, ""); len(got) != 40 {
		t.Errorf("%d names for 40 photos", len(got))
	}
}

// oneName is put by many at once: one of them is there, whole.
func oneName(t *testing.T, b Bench) {
	contents := map[string]bool{}
	var all sync.WaitGroup
	for i := range 12 {
		data := Random(uint64(100+i), 5000*(i+1))
		contents[string(data)] = true
		all.Go(func() {
			if err := b.Store.Put(t.Context(), "one.jpg", b.Arrive(t, data)); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if got := read(t, b.Store, "one.jpg"); !contents[string(got)] {
		t.Errorf("%d bytes that nobody put", len(got))
	}
}

func read(t *testing.T, s photos.Store, name string) []byte {
	t.Helper()
	f, err := s.Open(t.Context(), name)
	if err != nil {
		t.Error(err)
		return nil
	}
	defer f.Close()
	data, err := io.ReadAll(f)
	if err != nil {
		t.Error(err)
	}
	return data
}

// whileReplaced reads see one photo or the other, never some of both.
func whileReplaced(t *testing.T, b Bench) {
	kinds := [][]byte{Random(200, 200_000), Random(201, 150_000)}
	b.put(t, "a.jpg", kinds[0])
	var all sync.WaitGroup
	all.Go(func() {
		for i := range 20 {
			if err := b.Store.Put(t.Context(), "a.jpg", b.Arrive(t, kinds[i%2])); err != nil {
				t.Error(err)
			}
		}
	})
	for range 3 {
		all.Go(func() {
			for range 20 {
				if got := read(t, b.Store, "a.jpg"); !bytes.Equal(got, kinds[0]) && !bytes.Equal(got, kinds[1]) {
					t.Errorf("%d bytes of both", len(got))
				}
			}
		})
	}
	all.Wait()
}

func cancelledBefore(t *testing.T, b Bench) {
	ctx, stop := context.WithCancel(t.Context())
	stop()
	a := b.Arrive(t, []byte("a"))
	if err := b.Store.Put(ctx, "a.jpg", a); !errors.Is(err, context.Canceled) {
		t.Errorf("put after the end: %v", err)
	}
	Holds(t, b.Store, "a.jpg", nil)
	if _, err := os.Stat(a.Path); err != nil {
		t.Errorf("the arrived photo was not put and is gone: %v", err)
	}
}

// cancelledWithin stops at different moments: the photo is there whole or not at all.
func cancelledWithin(t *testing.T, b Bench) {
	data := Random(5, 8<<20)
	for _, after := range []time.Duration{0, time.Millisecond, 5 * time.Millisecond, 20 * time.Millisecond} {
		ctx, stop := context.WithTimeout(t.Context(), after)
		name := fmt.Sprintf("a%d.jpg", after.Microseconds())
		err := b.Store.Put(ctx, name, b.Arrive(t, data))
		stop()
		if _, serr := b.Store.Stat(t.Context(), name); serr == nil || err == nil {
			Holds(t, b.Store, name, data)
		}
	}
}

func aside(t *testing.T, b Bench) {
	b.put(t, "a.jpg", []byte("a"))
	b.put(t, "b.jpg", []byte("b"))
	fatal.If(t, b.Store.Aside(t.Context(), "a.jpg"))
	Holds(t, b.Store, "a.jpg", nil)
	if got := Names(t, b.Store, ""); !slices.Equal(got, []string{"b.jpg"}) {
		t.Errorf("listed are %v", got)
	}
	b.put(t, "a.jpg", []byte("anew"))
	if err := b.Store.Aside(t.Context(), "a.jpg"); err != nil {
		t.Errorf("put aside again: %v", err)
	}
	if err := b.Store.Aside(t.Context(), "../a.jpg"); err == nil {
		t.Error("a name outside the store was put aside")
	}
	if b.Put == nil {
		return
	}
	b.Put("odd ä?.txt", "lunch")
	if got := Names(t, b.Store, "b.jpg"); !slices.Equal(got, []string{"odd ä?.txt"}) {
		t.Errorf("listed are %q", got)
	}
	if err := b.Store.Aside(t.Context(), "odd ä?.txt"); err != nil {
		t.Error(err)
	}
	if got := Names(t, b.Store, ""); len(got) != 1 {
		t.Errorf("listed are %q", got)
	}
}

// openedAnew sees what was put and deleted, at once and not after a while.
func openedAnew(t *testing.T, b Bench) {
	data := Random(6, 70_000)
	b.put(t, "a.jpg", data)
	b.put(t, "gone.jpg", data)
	fatal.If(t, b.Store.Delete(t.Context(), "gone.jpg"))
	again := b.Again()
	Holds(t, again, "a.jpg", data)
	Holds(t, again, "gone.jpg", nil)
	if got := Names(t, again, ""); !slices.Equal(got, []string{"a.jpg"}) {
		t.Errorf("listed are %v", got)
	}
}

// aFile is what Open gives: it has a size and a descriptor that a child process may
// have, and stays as it was when the photo is deleted meanwhile.
func aFile(t *testing.T, b Bench) {
	data := Random(7, 90_000)
	b.put(t, "a.jpg", data)
	f, err := b.Store.Open(t.Context(), "a.jpg")
	fatal.If(t, err)
	defer f.Close()
	fatal.If(t, b.Store.Delete(t.Context(), "a.jpg"))
	part := make([]byte, 1000)
	if info, err := f.Stat(); err != nil || info.Size() != int64(len(data)) || !info.Mode().IsRegular() {
		t.Errorf("stat %v, %v", info, err)
	}
	if _, err := f.ReadAt(part, 50_000); err != nil || !bytes.Equal(part, data[50_000:51_000]) {
		t.Errorf("read from within: %v", err)
	}
	if all, err := io.ReadAll(f); err != nil || !bytes.Equal(all, data) {
		t.Errorf("read from the start: %d bytes, %v", len(all), err)
	}
	if left, _ := filepath.Glob(filepath.Join(b.Arriving, "*")); len(left) > 0 {
		t.Errorf("%v is left where photos arrive", left)
	}
}

func timeKept(t *testing.T, b Bench) {
	b.put(t, "a.jpg", []byte("a"))
	info, err := b.Store.Stat(t.Context(), "a.jpg")
	if err != nil || time.Since(info.Kept).Abs() > time.Minute {
		t.Errorf("kept at %v, %v", info.Kept, err)
	}
}
