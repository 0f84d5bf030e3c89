package backup

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/organisation"
	"netagauge/internal/keep/settings"
)

// several is a backup of the sites kyoto and osaka.
func several(t *testing.T) []byte {
	t.Helper()
	ctx, shared := t.Context(), t.TempDir()
	o, err := organisation.Open(ctx, database.File(filepath.Join(shared, organisation.File)))
	fatal.If(t, err)
	for _, name := range []string{"kyoto", "osaka", "nara"} { // nobody has opened the last
		err = errors.Join(err, o.Add(ctx, organisation.Site{Name: name, Titles: map[string]string{"en": name}}))
	}
	var out bytes.Buffer
	p := PackSeveral(&out)
	err = errors.Join(err, o.Close(), os.WriteFile(filepath.Join(shared, settings.Standard), []byte("shared"), 0o600), p.Organisation(ctx, shared),
		p.Site(ctx, "kyoto", filled(t).Dir()), p.Site(ctx, "osaka", kitchen(t).Dir()), p.Close())
	fatal.If(t, err)
	return out.Bytes()
}

// Sites come back each in a folder of its own, beside what they share.
func TestSeveralAreRestored(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "again")
	data := several(t)
	if err := Restore(t.Context(), bytes.NewReader(data), dir); err == nil || !strings.Contains(err.Error(), "several sites") {
		t.Errorf("as one kitchen: %v", err)
	}
	sites, err := RestoreAny(t.Context(), bytes.NewReader(data), dir)
	if err != nil || !slices.Equal(sites, []string{"kyoto", "osaka"}) {
		t.Fatalf("%v, %v", sites, err)
	}
	if known, err := Sites(t.Context(), dir); err != nil || len(known) != 3 {
		t.Errorf("%v, %v", known, err)
	}
	if text, err := os.ReadFile(filepath.Join(dir, settings.Standard)); err != nil || string(text) != "shared" {
		t.Errorf("%s, %v", text, err)
	}
	f := opened(t, At(dir, "kyoto"))
	if all, err := f.List(t.Context(), intake.Filter{}); err != nil || len(all) == 0 {
		t.Errorf("%d trays of kyoto, %v", len(all), err)
	}
}

// What does not belong to several sites is refused, in whatever folder.
func TestSeveralRefusesWhatDoesNotBelong(t *testing.T) {
	whole := several(t)
	drop := func(name string) []byte {
		return remade(t, whole, func(files map[string][]byte) { delete(files, name) })
	}
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"sites of nothing": {drop(organisation.File), "does not belong"},
		"a site unknown": {remade(t, whole, func(files map[string][]byte) {
			files["sites/kobe/"+intake.ListFile] = files["sites/osaka/"+intake.ListFile]
		}), "sites/kobe"},
		"a site of no list":  {drop("sites/osaka/" + intake.ListFile), "missing"},
		"a list beside":      {remade(t, whole, func(files map[string][]byte) { files[intake.ListFile] = files["sites/osaka/"+intake.ListFile] }), "does not belong"},
		"sites within":       {withFile(t, whole, "sites/osaka/sites/nara/"+intake.ListFile, nil), "does not belong"},
		"a way out":          {withFile(t, whole, "sites/../"+intake.ListFile, nil), "does not belong"},
		"an organisation in": {withFile(t, whole, "sites/osaka/"+organisation.File, nil), "does not belong"},
	} {
		parent := t.TempDir()
		_, err := RestoreAny(t.Context(), bytes.NewReader(c.data), filepath.Join(parent, "again"))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", name, err, c.want)
		}
		if left, err := os.ReadDir(parent); err != nil || len(left) > 0 {
			t.Errorf("%s: %v is left (%v)", name, left, err)
		}
	}
}
