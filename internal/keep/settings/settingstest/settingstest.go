// Package settingstest is the one suite that every keeper of settings passes.
package settingstest

import (
	"errors"
	"fmt"
	"io/fs"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/settings"
)

// Run holds a kind of keeper to what Texts promises; open makes an empty one, which
// again opens once more.
func Run(t *testing.T, open func(t *testing.T) (first settings.Texts, again func() settings.Texts)) {
	t.Run("kept", func(t *testing.T) { kept(t, open) })
	t.Run("replaced", func(t *testing.T) { replaced(t, open) })
	t.Run("at once", func(t *testing.T) { atOnce(t, open) })
	t.Run("together", func(t *testing.T) { together(t, open) })
	t.Run("begun at once", func(t *testing.T) { begunAtOnce(t, open) })
	t.Run("unknown name", func(t *testing.T) { unknown(t, open) })
}

type opener = func(t *testing.T) (settings.Texts, func() settings.Texts)

func is(t *testing.T, in settings.Texts, name, want string) {
	t.Helper()
	if got, err := settings.Text(t.Context(), in, name); err != nil || got != want {
		t.Errorf("%s is %q, %v; want %q", name, got, err, want)
	}
}

func kept(t *testing.T, open opener) {
	in, again := open(t)
	for i, name := range settings.Names() {
		is(t, in, name, "")
		if _, err := in.Read(t.Context(), name); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s before it is kept: %v", name, err)
		}
		for _, text := range []string{"first", fmt.Sprintf("text %d\r\nof “%s”\n\n", i, name)} {
			fatal.If(t, in.Keep(t.Context(), name, text))
			is(t, in, name, text)
		}
	}
	for i, name := range settings.Names() {
		is(t, again(), name, fmt.Sprintf("text %d\r\nof “%s”\n\n", i, name))
	}
	fatal.If(t, in.Keep(t.Context(), settings.Roster, ""))
	is(t, again(), settings.Roster, "")
	if text, err := settings.Begin(t.Context(), in, settings.Roster, func() (string, error) { return "anew", nil }); err != nil || text != "" {
		t.Errorf("an emptied text was begun anew: %q, %v", text, err)
	}
}

func replaced(t *testing.T, open opener) {
	in, again := open(t)
	for _, c := range []struct {
		before, text string
		done         bool
		now          string
	}{{"never", "a", false, ""}, {"", "a", true, "a"}, {"", "b", false, "a"}, {"b", "c", false, "a"}, {"a", "c", true, "c"}, {"c", "", true, ""}, {"", "d", true, "d"}, {"d", "d", true, "d"}} {
		done, err := in.Replace(t.Context(), settings.Standard, c.before, c.text)
		if err != nil || done != c.done {
			t.Errorf("%q for %q: %v, %v; want %v", c.text, c.before, done, err, c.done)
		}
		is(t, again(), settings.Standard, c.now)
	}
}

// atOnce counts in one text from many sides: no change is lost.
func atOnce(t *testing.T, open opener) {
	in, _ := open(t)
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			for range 5 {
				err := settings.Change(t.Context(), in, settings.OpenClass, func(now string) (string, error) {
					n, _ := strconv.Atoi(now) // none is 0
					return strconv.Itoa(n + 1), nil
				})
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	is(t, in, settings.OpenClass, "40")
}

// together replaces a text from many sides, and keeps with it the one that was there:
// that is always the one before.
func together(t *testing.T, open opener) {
	in, again := open(t)
	fatal.If(t, in.Keep(t.Context(), settings.StandardBefore, "kept"))
	for i, before := range []string{"never", ""} {
		got, err := in.Replace(t.Context(), settings.Standard, before, "x", settings.Named{Name: settings.StandardBefore, Text: "with it"})
		if err != nil || got != (i == 1) {
			t.Errorf("before %q: %v, %v", before, got, err)
		}
		is(t, again(), settings.StandardBefore, []string{"kept", "with it"}[i])
	}
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			for range 10 {
				now, err := settings.Text(t.Context(), in, settings.Standard)
				if err == nil {
					_, err = in.Replace(t.Context(), settings.Standard, now, now+"x", settings.Named{Name: settings.StandardBefore, Text: now})
				}
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	now, err := settings.Text(t.Context(), in, settings.Standard)
	fatal.If(t, err)
	is(t, again(), settings.StandardBefore, now[:len(now)-1])
	if _, err := in.Replace(t.Context(), settings.Standard, now, "y", settings.Named{Name: "roster", Text: "x"}); err == nil {
		t.Error("a name that no text has goes along")
	}
	is(t, again(), settings.Standard, now)
}

// begunAtOnce is one text for all who begin it.
func begunAtOnce(t *testing.T, open opener) {
	in, again := open(t)
	var made atomic.Int64
	got := make([]string, 8)
	var all sync.WaitGroup
	for i := range got {
		all.Go(func() {
			var err error
			got[i], err = settings.Begin(t.Context(), in, settings.Signet, func() (string, error) { return fmt.Sprint("key ", made.Add(1)), nil })
			if err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	for _, g := range got {
		is(t, again(), settings.Signet, g)
	}
}

func unknown(t *testing.T, open opener) {
	in, _ := open(t)
	for _, name := range []string{"", "../roster.csv", "book.sqlite", "roster"} {
		_, errRead := in.Read(t.Context(), name)
		_, errReplace := in.Replace(t.Context(), name, "", "x")
		if err := in.Keep(t.Context(), name, "x"); err == nil || errRead == nil || errReplace == nil {
			t.Errorf("%q: %v, %v, %v", name, err, errRead, errReplace)
		}
	}
}
