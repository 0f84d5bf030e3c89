package main

import (
	"database/sql"
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/keeping"
	"netagauge/internal/keep/settings"
)

// What the dates of keeping delete is shown, and deleted when that is said, in a folder
// and in a shared place; a result stays.
func TestDue(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kitchen")
	f, err := intake.Open(t.Context(), dir, "v1")
	fatal.If(t, err)
	take(t, f, 1, true)
	settle(t, f)
	fatal.If(t, f.Close())
	lite, err := sql.Open("sqlite3", filepath.Join(dir, "intake.sqlite"))
	fatal.If(t, err)
	_, err = lite.Exec(`UPDATE shot SET received = '2020-01-02T03:04:05Z'`)
	fatal.If(t, errors.Join(err, lite.Close()))
	ends(t, settings.InFolder(dir), func() bool { _, n := photosIn(t, dir); return n == 0 }, "--data", dir)

	p, _, options := place(t)
	s, shared := opened(t, p)
	defer s.Close()
	take(t, shared, 1, true)
	settle(t, shared)
	if _, err := s.server.Pool().Exec(t.Context(), `UPDATE site_kitchen.shot SET received = '2020-01-02T03:04:05Z'`); err != nil {
		t.Fatal(err)
	}
	kept, err := settings.OpenAt(t.Context(), s.server.Schema(schemaOf(kitchenAlone)))
	fatal.If(t, err)
	defer kept.Close()
	ends(t, kept, func() bool { _, hashes := held(t, p); return len(hashes) == 0 }, options...)
	for site, want := range map[string]string{kitchenAlone: "photos 0 (", "kyoto": "kyoto"} {
		code, out, said := netagauge(append([]string{"due", "--site", site}, options...)...)
		if (code == command.ExitPass) != (site == kitchenAlone) || !strings.Contains(out+said, want) {
			t.Errorf("due --site %s: %d, %s%s; want %q", site, code, out, said, want)
		}
	}
	if export, _ := held(t, p); !strings.Contains(export, "80.3") {
		t.Error("the result went with the photo")
	}
}

// A folder that holds no kitchen is left as it is.
func TestDueMakesNoKitchen(t *testing.T) {
	for _, dir := range []string{t.TempDir(), filepath.Join(t.TempDir(), "away")} {
		if code, _, said := netagauge("due", "--data", dir); code != command.ExitUsage || !strings.Contains(said, "no data folder") {
			t.Errorf("%d, %q", code, said)
		}
		if all, _ := filepath.Glob(filepath.Join(dir, "*")); len(all) > 0 {
			t.Errorf("it now holds %q", all)
		}
	}
}

// settle ends what waits with the result that the book has.
func settle(t *testing.T, f *intake.Folder) {
	t.Helper()
	all, err := f.List(t.Context(), intake.Filter{})
	if err != nil || len(all) != 1 {
		t.Fatal(all, err)
	}
	fatal.If(t, f.Fail(t.Context(), all[0], intake.CodeEntered, nil))
}

func photosIn(t *testing.T, dir string) (names []string, n int) {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(dir, "photos", "*"))
	fatal.If(t, err)
	return names, len(names)
}

// ends goes through a record of one tray whose photo is old.
func ends(t *testing.T, kept settings.Texts, gone func() bool, options ...string) {
	t.Helper()
	says := func(want string, more ...string) {
		t.Helper()
		if code, out, said := netagauge(append(append([]string{"due"}, options...), more...)...); code != command.ExitPass || !strings.Contains(out, want) {
			t.Errorf("due %v: %d, %s%s; want %q", more, code, out, said, want)
		}
	}
	rules := func(since time.Time) {
		t.Helper()
		text, err := keeping.Rules{PhotoDays: 30, Since: since.Format(time.DateOnly)}.TOML()
		if err == nil {
			err = kept.Keep(t.Context(), settings.Keeping, text)
		}
		fatal.If(t, err)
	}
	says("no dates of keeping are set", "--yes")
	rules(time.Now())
	says("nothing goes before", "--yes")
	rules(time.Now().AddDate(0, 0, -3))
	says("due: photos 1 (")
	says("with --yes")
	if gone() {
		t.Error("it was deleted and only to be shown")
	}
	says("deleted", "--yes")
	if !gone() {
		t.Error("the photo is still there")
	}
	says("due: photos 0 (", "--yes")
}
