// Package photostest is the one suite that every store of photos passes.
package photostest

import (
	"errors"
	"io/fs"
	"os"
	"slices"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/photos"
)

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
	fatal.If(t, b.Store.Put(t.Context(), "abc.jpg", a))
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
