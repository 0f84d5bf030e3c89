package organisation

import (
	"errors"
	"path/filepath"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/postgrestest"
)

func TestMain(m *testing.M) { postgrestest.Main(m) }

// both runs a test on either engine.
func both(t *testing.T, test func(*testing.T, *Organisation)) {
	t.Run("SQLite", func(t *testing.T) {
		o, err := Open(t.Context(), database.File(filepath.Join(t.TempDir(), "organisation.sqlite")))
		fatal.If(t, err)
		t.Cleanup(func() { o.Close() })
		test(t, o)
	})
	t.Run("PostgreSQL", func(t *testing.T) {
		at := postgrestest.Start(t)
		server, err := database.Connect(t.Context(), at.URL())
		fatal.If(t, err)
		t.Cleanup(server.Close)
		o, err := Open(t.Context(), server.Schema(at.Schema(t)))
		fatal.If(t, err)
		t.Cleanup(func() { o.Close() })
		test(t, o)
	})
}

func TestSites(t *testing.T) {
	both(t, func(t *testing.T, o *Organisation) {
		ctx := t.Context()
		for _, s := range []Site{{Name: "osaka", Titles: map[string]string{"en": " Osaka ", "ja": "大阪"}}, {Name: "kyoto", Original: true, Titles: map[string]string{"ja": "京都", "en": ""}}} {
			fatal.If(t, o.Add(ctx, s))
		}
		for name, s := range map[string]Site{"twice": {Name: "osaka", Titles: map[string]string{"en": "x"}}, "a capital": {Name: "Osaka", Titles: map[string]string{"en": "x"}},
			"no title": {Name: "nara", Titles: map[string]string{"en": " "}}, "a stop": {Name: "a.b", Titles: map[string]string{"en": "x"}}, "none": {Titles: map[string]string{"en": "x"}}} {
			if err := o.Add(ctx, s); err == nil {
				t.Errorf("a site with %s was added", name)
			}
		}
		fatal.If(t, o.SetClosed(ctx, "osaka", true))
		fatal.If(t, o.Call(ctx, "osaka", map[string]string{"en": "Osaka North"}))
		all, err := o.Sites(ctx)
		if err != nil || len(all) != 2 || all[0].Name != "kyoto" || !all[0].Original || all[0].Closed || all[1].Original || !all[1].Closed {
			t.Fatalf("%+v, %v", all, err)
		}
		if a, b, c := all[0].Title("en"), all[1].Title("en"), all[1].Title("ja"); a != "京都" || b != "Osaka North" || c != "Osaka North" {
			t.Errorf("they are called %s, %s, %s", a, b, c)
		}
		if both := (Site{Titles: map[string]string{"en": "Osaka", "ja": "大阪"}}); both.Title("ja") != "大阪" || both.Title("en") != "Osaka" || both.Title("fr") != "Osaka" {
			t.Errorf("%s in Japanese, %s in English, %s in French", both.Title("ja"), both.Title("en"), both.Title("fr"))
		}
		fatal.If(t, o.SetClosed(ctx, "osaka", false))
		if all, err = o.Sites(ctx); err != nil || all[1].Closed {
			t.Errorf("%+v, %v", all, err)
		}
	})
}

// Back and forth, each site and name is gone through once.
func TestPath(t *testing.T) {
	both(t, func(t *testing.T, o *Organisation) {
		ctx := t.Context()
		for _, m := range []Move{{FromSite: "a", FromWho: "Aoi", ToSite: "b", ToWho: "Aoi T"}, {FromSite: "b", FromWho: "Aoi T", ToSite: "c", ToWho: "Aoi"},
			{FromSite: "c", FromWho: "Aoi", ToSite: "a", ToWho: "Aoi"}, {FromSite: "d", FromWho: "Bo", ToSite: "a", ToWho: "Bo"}} {
			fatal.If(t, errors.Join(o.Begin(ctx, m), o.Moved(ctx, m)))
		}
		path, err := o.Path(ctx, "c", "Aoi")
		if err != nil || len(path) != 2 || path[0].FromSite != "b" || path[1].FromSite != "a" || path[1].At.IsZero() {
			t.Errorf("%+v, %v", path, err)
		}
		fatal.If(t, o.Forget(ctx, "b", "Aoi T"))
		for _, at := range []string{"b", "c"} {
			if left, err := o.Path(ctx, at, map[string]string{"b": "Aoi T", "c": "Aoi"}[at]); err != nil || len(left) != 0 {
				t.Errorf("of who is forgotten %s has %+v, %v", at, left, err)
			}
		}
		if left, err := o.Path(ctx, "a", "Aoi"); err != nil || len(left) != 1 || left[0].FromSite != "c" {
			t.Errorf("%+v, %v", left, err)
		}
		if none, err := o.Path(ctx, "b", "Bo"); err != nil || len(none) != 0 {
			t.Errorf("%+v, %v", none, err)
		}
	})
}

// A move that was begun is known until it ends, is given up, or is long ago, and leads
// nowhere before its end.
func TestBegunMove(t *testing.T) {
	both(t, func(t *testing.T, o *Organisation) {
		ctx, m := t.Context(), Move{FromSite: "a", FromWho: "Aoi", ToSite: "b", ToWho: "Aoi", By: "Mori"}
		begun := func(want bool, path int) {
			t.Helper()
			got, err := o.Begun(ctx, m)
			other, otherErr := o.Begun(ctx, Move{FromSite: "b", FromWho: "Aoi", ToSite: "a", ToWho: "Aoi"})
			there, pathErr := o.Path(ctx, "b", "Aoi")
			if err != nil || otherErr != nil || pathErr != nil || got != want || other || len(there) != path {
				t.Errorf("begun %v (%v), the other way %v (%v), path %v (%v)", got, err, other, otherErr, there, pathErr)
			}
		}
		begun(false, 0)
		fatal.If(t, o.Begin(ctx, m))
		begun(true, 0)
		fatal.If(t, o.GiveUp(ctx, m))
		begun(false, 0)
		fatal.If(t, o.Begin(ctx, m))
		_, err := o.db.ExecContext(ctx, `UPDATE move SET moved_at = '-2020-01-01T00:00:00Z'`)
		fatal.If(t, err)
		begun(false, 0)
		fatal.If(t, o.Begin(ctx, m))
		fatal.If(t, o.Moved(ctx, m))
		begun(false, 1)
		fatal.If(t, o.GiveUp(ctx, m))
		begun(false, 1)
	})
}
