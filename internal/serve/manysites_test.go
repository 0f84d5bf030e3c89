package serve

import (
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"netagauge/internal/keep/account"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/historytest"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/move"
	"netagauge/internal/keep/organisation"
	photostore "netagauge/internal/keep/photos"
	"netagauge/internal/keep/postgrestest"
	"netagauge/internal/keep/settings"
)

// Every page of a site among others answers from PostgreSQL, each time after a change.
// With NETAGAUGE_LONG, 100,000 trays in one site and 1,000 in each of 99 others, each
// within 300 ms, 95 times in 100, on two quiet cores. Reports are small and made up
// (historytest says how small).
func TestPagesOfManySites(t *testing.T) {
	large, small := historytest.Size{Classes: 20, Trays: 90, Trainees: 10, Checks: 200}, historytest.Size{Classes: 2, Trays: 15, Trainees: 5, Checks: 20}
	others, looks, bar := 4, 1, time.Hour
	if os.Getenv("NETAGAUGE_LONG") != "" {
		large, small = historytest.Size{Classes: 200, Trays: 400, Trainees: 20, Checks: 20_000}, historytest.Size{Classes: 20, Trays: 30, Trainees: 5, Checks: 400}
		others, looks, bar = 99, 20, 300*time.Millisecond
		if asked, _ := strconv.Atoi(os.Getenv("NETAGAUGE_LONG")); asked > 1 { // this many classes
			large.Checks, large.Classes = large.Checks*asked/large.Classes, asked
		}
	}
	own := postgrestest.Own(t)
	server := serverOf(t, own)
	began := time.Now()
	sites := manySites(t, own, server, large, small, others)
	t.Logf("%d trays of one site and %d of each of %d others after %v", large.All(), small.All(), others, time.Since(began).Round(time.Second))
	began = time.Now()
	organised(t, schemasOf(t, server), historytest.Line, sites).said.Reset() // it says that it sums up the classes
	t.Logf("all sites opened in %v, their classes summed up", time.Since(began).Round(time.Millisecond))
	began = time.Now()
	g := organised(t, schemasOf(t, server), historytest.Line, sites)
	t.Logf("and once more in %v", time.Since(began).Round(time.Millisecond))
	owner, main, one := g.owner(), g.sites["main"], g.sites["s00"]
	main.door, one.door = "/at/main", "/at/s00"
	pages, shown := everyPage(main, large)
	teacher := pages[0].who
	pages[len(pages)-1].paths = []string{"/"} // there is no certificate of these sites to install
	for _, a := range append(pages, asked4test{"owner", owner, []string{"/sites", "/sites?day=" + day(time.Now().AddDate(0, 0, -1)), "/organisation"}},
		asked4test{"at a small one", one.role(account.Instructor), []string{"/class", "/line"}}) {
		for _, path := range a.paths {
			var took []time.Duration
			for i := range looks {
				decideAnew(teacher, large, i)
				from := time.Now()
				a.who.get(path).must(g.site, http.StatusOK)
				took = append(took, time.Since(from))
			}
			slices.Sort(took)
			p95 := took[max(0, len(took)*95/100-1)]
			t.Logf("%-14s %-45s median %4d ms, p95 %4d ms, most %4d ms", a.name, shown.Replace(path), took[len(took)/2].Milliseconds(), p95.Milliseconds(), took[len(took)-1].Milliseconds())
			if p95 > bar {
				t.Errorf("%s %s: p95 is %v, above %v", a.name, path, p95, bar)
			}
		}
	}
}

// manySites makes a large site and so many small ones.
func manySites(t *testing.T, own *postgrestest.Server, server *database.Server, large, small historytest.Size, others int) []organisation.Site {
	t.Helper()
	sites := []organisation.Site{{Name: "main", Original: true, Titles: map[string]string{"en": "Main Street"}}}
	filled(t, server, "main", large)
	for i := range others {
		name := fmt.Sprintf("s%02d", i)
		sites = append(sites, organisation.Site{Name: name, Titles: map[string]string{"en": "Campus " + name}})
		if i == 0 {
			filled(t, server, name, small)
		} else {
			copied(t, own, server, name, "s00")
		}
	}
	own.Exec(t, `ANALYZE`)
	return sites
}

// filled moves a made-up history into a site's schema.
func filled(t *testing.T, server *database.Server, site string, size historytest.Size) {
	t.Helper()
	dir := t.TempDir()
	if err := historytest.Fill(t.Context(), dir, "test", size); err != nil {
		t.Fatal(err)
	}
	from, err := move.Kitchen.FromFolder(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer from.Close()
	store, err := photostore.InFolder(filepath.Join(dir, "moved"), "")
	if err != nil {
		t.Fatal(err)
	}
	to, err := move.Kitchen.ToShared(t.Context(), server.Schema("site_"+site), site, store, dir)
	if err != nil {
		t.Fatal(err)
	}
	defer to.Close()
	if _, err := move.Run(t.Context(), from, to, nil, nil); err != nil {
		t.Fatal(err)
	}
}

// copied makes a site that is as another one.
func copied(t *testing.T, own *postgrestest.Server, server *database.Server, site, like string) {
	t.Helper()
	at := server.Schema("site_" + site)
	b, err := book.OpenAt(t.Context(), at)
	if err != nil {
		t.Fatal(err)
	}
	a, err := account.OpenAt(t.Context(), at)
	if err != nil {
		t.Fatal(err)
	}
	kept, err := settings.OpenAt(t.Context(), at)
	if err := errors.Join(err, intake.MakeTables(t.Context(), at), a.Close(), b.Close(), kept.Close()); err != nil {
		t.Fatal(err)
	}
	own.Exec(t, strings.NewReplacer("LIKE", "site_"+like, "SITE", "site_"+site).Replace(`DO $$
DECLARE r record; BEGIN
	SET LOCAL session_replication_role = replica; -- no order of tables
	FOR r IN SELECT tablename FROM pg_tables WHERE schemaname = 'LIKE' AND right(tablename, 8) <> '_version' LOOP
		EXECUTE format('DELETE FROM SITE.%1$I', r.tablename);
		EXECUTE format('INSERT INTO SITE.%1$I SELECT * FROM LIKE.%1$I', r.tablename);
	END LOOP;
	PERFORM setval(format('SITE.%I', sequencename), last_value) FROM pg_sequences WHERE schemaname = 'LIKE' AND last_value IS NOT NULL AND strpos(sequencename, '_version') = 0;
END $$`))
}
