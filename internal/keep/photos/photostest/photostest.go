// Package photostest is the one suite that every store of photos passes.
package photostest

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"netagauge/internal/keep/photos"
)

// Bench is an empty store to be tried.
type Bench struct {
	Store    photos.Store
	Arriving string                  // folder that photos arrive in
	Again    func() photos.Store     // the same store as another process opens it
	Many     int                     // how many photos the long list has
	Put      func(name, text string) // lays something into the store behind its back, for names that Put refuses; may be nil
}

// Arrive lays a photo where one arrives.
func (b Bench) Arrive(t testing.TB, data []byte) photos.Arrived {
	t.Helper()
	f, err := os.CreateTemp(b.Arriving, "arriving-*")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Write(data); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(data)
	return photos.Arrived{Path: f.Name(), Bytes: int64(len(data)), SHA256: hex.EncodeToString(sum[:])}
}

func (b Bench) put(t testing.TB, name string, data []byte) {
	t.Helper()
	if err := b.Store.Put(t.Context(), name, b.Arrive(t, data)); err != nil {
		t.Fatalf("put %s: %v", name, err)
	}
}

// Holds fails when a store has not exactly these bytes under a name; nil is nothing.
func Holds(t testing.TB, s photos.Store, name string, want []byte) {
	t.Helper()
	info, serr := s.Stat(t.Context(), name)
	f, err := s.Open(t.Context(), name)
	if want == nil {
		if !errors.Is(err, fs.ErrNotExist) || !errors.Is(serr, fs.ErrNotExist) {
			t.Errorf("%s: open says %v, stat %v; want none", name, err, serr)
		}
		return
	}
	if err != nil || serr != nil {
		t.Errorf("%s: open says %v, stat %v", name, err, serr)
		return
	}
	defer f.Close()
	got, err := io.ReadAll(f)
	if err != nil || !bytes.Equal(got, want) || info.Bytes != int64(len(want)) {
		t.Errorf("%s: %d bytes (%v), stat says %d; want the %d that were put", name, len(got), err, info.Bytes, len(want))
	}
}

// Names are all that a store lists.
func Names(t testing.TB, s photos.Store, after string) (out []string) {
	t.Helper()
	for name, err := range s.List(t.Context(), after) {
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, name)
	}
	return out
}

// Random are bytes that do not repeat.
func Random(seed uint64, n int) []byte {
	out := make([]byte, n)
	source := rand.NewChaCha8([32]byte{byte(seed), byte(seed >> 8), byte(seed >> 16)})
	source.Read(out)
	return out
}

// Run holds a kind of store to what Store promises; open makes an empty one.
func Run(t *testing.T, open func(t *testing.T) Bench) {
	for _, c := range []struct {
		name string
		run  func(*testing.T, Bench)
	}{
		{"put and open", putAndOpen}, {"one byte", oneByte}, {"large", large}, {"overwritten", overwritten}, {"missing", missing},
		{"wrong hash", wrongHash}, {"cut short", cutShort}, {"grown", grown}, {"no file", noFile}, {"names", names}, {"listed in order", listed},
		{"listed from", listedFrom}, {"list left early", leftEarly}, {"list stopped", listStopped}, {"deleted", deleted}, {"at once", atOnce}, {"one name at once", oneName},
		{"read while replaced", whileReplaced}, {"cancelled before", cancelledBefore}, {"cancelled within", cancelledWithin},
		{"aside", aside}, {"opened anew", openedAnew}, {"file is a file", aFile}, {"time kept", timeKept},
	} {
		t.Run(c.name, func(t *testing.T) { c.run(t, open(t)) })
	}
}

func putAndOpen(t *testing.T, b Bench) {
	data := Random(1, 100_000)
	a := b.Arrive(t, data)
	if err := b.Store.Put(t.Context(), "abc.jpg", a); err != nil {
		t.Fatal(err)
	}
	Holds(t, b.Store, "abc.jpg", data)
	Holds(t, b.Store, "abc.jpg", data) // again
	Holds(t, b.Store, "abc.png", nil)
	Holds(t, b.Store, "ab", nil)
}

func oneByte(t *testing.T, b Bench) {
	b.put(t, "a.jpg", []byte{7})
	Holds(t, b.Store, "a.jpg", []byte{7})
}

// large is a photo of the largest size that is taken in.
func large(t *testing.T, b Bench) {
	data := Random(2, 60<<20)
	b.put(t, "large.heic", data)
	Holds(t, b.Store, "large.heic", data)
}

func overwritten(t *testing.T, b Bench) {
	for i, n := range []int{50_000, 10, 80_000} {
		data := Random(uint64(i), n)
		b.put(t, "a.jpg", data)
		Holds(t, b.Store, "a.jpg", data)
	}
	if got := Names(t, b.Store, ""); len(got) != 1 {
		t.Errorf("one name put thrice is %v", got)
	}
}

func missing(t *testing.T, b Bench) {
	Holds(t, b.Store, "never.jpg", nil)
	if err := b.Store.Delete(t.Context(), "never.jpg"); err != nil {
		t.Errorf("deleting what is not there: %v", err)
	}
	if got := Names(t, b.Store, ""); len(got) != 0 {
		t.Errorf("an empty store lists %v", got)
	}
}

// refused fails unless a put is refused with the error, and what was there stays.
func (b Bench) refused(t *testing.T, change func(*photos.Arrived), want error) {
	t.Helper()
	before := Random(3, 3000)
	b.put(t, "before.jpg", before)
	for name, there := range map[string][]byte{"before.jpg": before, "new.jpg": nil} {
		a := b.Arrive(t, Random(4, 30_000))
		change(&a)
		if err := b.Store.Put(t.Context(), name, a); !errors.Is(err, want) {
			t.Errorf("%s: %v, want %v", name, err, want)
		}
		Holds(t, b.Store, name, there)
	}
	if got := Names(t, b.Store, ""); !slices.Equal(got, []string{"before.jpg"}) {
		t.Errorf("left are %v", got)
	}
}

func wrongHash(t *testing.T, b Bench) {
	b.refused(t, func(a *photos.Arrived) { a.SHA256 = strings.Repeat("ab", 32) }, photos.ErrOther)
}

func cutShort(t *testing.T, b Bench) {
	b.refused(t, func(a *photos.Arrived) { os.Truncate(a.Path, 20_000) }, photos.ErrOther)
}

func grown(t *testing.T, b Bench) {
	b.refused(t, func(a *photos.Arrived) { os.Truncate(a.Path, 40_000) }, photos.ErrOther)
}

func noFile(t *testing.T, b Bench) {
	b.refused(t, func(a *photos.Arrived) { os.Remove(a.Path) }, fs.ErrNotExist)
}

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
		if err := b.Store.Delete(t.Context(), "a.jpg"); err != nil {
			t.Fatal(err)
		}
	}
	Holds(t, b.Store, "a.jpg", nil)
	Holds(t, b.Store, "b.jpg", []byte("b"))
	b.put(t, "a.jpg", []byte("again"))
	Holds(t, b.Store, "a.jpg", []byte("again"))
}

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
	if err := b.Store.Aside(t.Context(), "a.jpg"); err != nil {
		t.Fatal(err)
	}
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
	if err := b.Store.Delete(t.Context(), "gone.jpg"); err != nil {
		t.Fatal(err)
	}
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
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := b.Store.Delete(t.Context(), "a.jpg"); err != nil {
		t.Fatal(err)
	}
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
