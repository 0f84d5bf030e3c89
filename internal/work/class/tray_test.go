package class

import (
	"netagauge/internal/core/fatal"
	"netagauge/internal/work/record"

	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestPair(t *testing.T) {
	for _, c := range []struct {
		name  string
		files []string
		want  []Tray
	}{
		{"none", []string{"a.jpg", "b.jpg"}, []Tray{{"a.jpg", ""}, {"b.jpg", ""}}},
		{"a pair", []string{"a.b.jpg", "a.jpg"}, []Tray{{"a.jpg", "a.b.jpg"}}},
		{"two pairs", []string{"a.b.jpg", "a.jpg", "b.b.jpg", "b.jpg"}, []Tray{{"a.jpg", "a.b.jpg"}, {"b.jpg", "b.b.jpg"}}},
		{"upper case", []string{"IMG_7.B.jpg", "img_7.JPG"}, []Tray{{"img_7.JPG", "IMG_7.B.jpg"}}},
		{"no first photo", []string{"a.b.jpg"}, []Tray{{"a.b.jpg", ""}}},
		{"another extension", []string{"a.b.jpg", "a.jpeg"}, []Tray{{"a.b.jpg", ""}, {"a.jpeg", ""}}},
		{"another folder", []string{"x/a.jpg", "y/a.b.jpg"}, []Tray{{"x/a.jpg", ""}, {"y/a.b.jpg", ""}}},
		{"folders by case", []string{"X/a.jpg", "x/a.b.jpg"}, []Tray{{"X/a.jpg", ""}, {"x/a.b.jpg", ""}}},
		{"one folder, written in two ways", []string{"./a.jpg", "a.b.jpg"}, []Tray{{"./a.jpg", "a.b.jpg"}}},
		{"no mark", []string{"ab.jpg", "a.jpg", "b.jpg", "a-b.jpg"}, []Tray{{"ab.jpg", ""}, {"a.jpg", ""}, {"b.jpg", ""}, {"a-b.jpg", ""}}},
		{"a second's second", []string{"a.b.b.jpg", "a.b.jpg", "a.jpg"}, []Tray{{"a.b.b.jpg", ""}, {"a.jpg", "a.b.jpg"}}},
		{"a name that ends so", []string{"a.b.b.jpg", "a.b.jpg"}, []Tray{{"a.b.jpg", "a.b.b.jpg"}}},
		{"alike without a second", []string{"a.JPG", "a.jpg"}, []Tray{{"a.JPG", ""}, {"a.jpg", ""}}},
	} {
		if got, err := Pair(c.files); err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, %v; want %q", c.name, got, err, c.want)
		}
	}
	for _, files := range [][]string{{"a.B.jpg", "a.b.jpg", "a.jpg"}, {"a.JPG", "a.b.jpg", "a.jpg"}} {
		if got, err := Pair(files); err == nil || !strings.Contains(err.Error(), "rename one") {
			t.Errorf("%q: %q, %v; want an error that names them", files, got, err)
		}
	}
}

// What is measured of a tray goes by both of its photos: another second one, and
// none any more, are other measurements, and the first is found again.
func TestSecondPhotoIsPartOfTheResult(t *testing.T) {
	dir := folderOf(t, "7.jpg", "7.b.jpg", "8.jpg")
	b := temporary(t)
	var seen []string
	check := func(_ context.Context, tray record.Tray) (record.Result, error) {
		second, err := tray.Second.Read()
		seen = append(seen, tray.First.Name+" "+tray.Second.Name+" "+string(second))
		return record.Result{Report: measured(tray.First.Name)}, err
	}
	again := func(what string, want ...string) {
		t.Helper()
		seen = nil
		j := job(t, b, dir, check)
		j.Workers = 1
		if _, err := j.Do(t.Context()); err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(seen, want) {
			t.Errorf("%s: measured %q, want %q", what, seen, want)
		}
		entries, err := b.Entries(t.Context(), j.Run.ID)
		if err != nil || len(entries) != 2 {
			t.Errorf("%s: entries %v, %v; want two trays", what, entries, err)
		}
	}
	second := filepath.Join(dir, "7.b.jpg")
	again("at first", "7.jpg 7.b.jpg 7.b.jpg", "8.jpg  ")
	again("nothing changed")
	fatal.If(t, os.WriteFile(second, []byte("moved"), 0o644))
	again("another second photo", "7.jpg 7.b.jpg moved")
	fatal.If(t, os.Remove(second))
	again("no second photo", "7.jpg  ")
	fatal.If(t, os.WriteFile(second, []byte("moved"), 0o644))
	again("the second photo is back")
}

// A tray whose second photo cannot be read is not measured without it.
func TestUnreadableSecondPhoto(t *testing.T) {
	dir := folderOf(t, "7.jpg")
	fatal.If(t, os.Symlink("nowhere", filepath.Join(dir, "7.b.jpg")))
	outcomes, err := job(t, temporary(t), dir, func(context.Context, record.Tray) (record.Result, error) {
		t.Error("it was measured")
		return record.Result{Report: measured("7.jpg")}, nil
	}).Do(t.Context())
	if err != nil || len(outcomes) != 1 || outcomes[0].Err == nil || !strings.Contains(outcomes[0].Err.Error(), `second photo "7.b.jpg"`) {
		t.Errorf("%+v, %v; want one outcome that names the second photo", outcomes, err)
	}
}
