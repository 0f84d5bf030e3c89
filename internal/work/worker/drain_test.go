package worker

import (
	"cmp"
	"context"
	"database/sql"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // looks into the record from outside

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/postgrestest"
	"netagauge/internal/keep/queue"
	"netagauge/internal/work/record"
)

// drainEnv makes this test binary a process that works off the queue at the address
// named, with a stub in place of measuring, to be killed. drainTraysEnv is how many trays.
const drainEnv, drainTraysEnv = "NETAGAUGE_TEST_DRAIN", "NETAGAUGE_DRAIN"

// stub are hands that do not measure: each photo gets a report of its own in no time.
type stub struct{ hands int }

func (s stub) Workers() int                      { return s.hands }
func (stub) Longest() time.Duration              { return 10 * time.Second }
func (stub) Ended(string, string, time.Duration) {}

func (stub) Measure(_ context.Context, t record.Tray) (record.Result, error) {
	var length float64
	fmt.Sscan(t.First.Name, &length)
	return record.Result{Report: piece.Tray{Photo: piece.Photo{File: t.First.Name}, Status: piece.TrayMeasured, Pieces: []piece.Piece{
		{Number: 1, State: piece.Measured, Length: piece.Of(length, 1), Width: piece.Of(35, 1), Cover: piece.Of(1, 0), Verdict: piece.Pass}}}}, nil
}

// drainer works off the queue until it is killed.
func drainer(address string) error {
	p, err := openPlace(context.Background(), address, os.TempDir())
	if err != nil {
		return err
	}
	return p.share(context.Background(), stub{int(cmp.Or(number(handsEnv), 64))})
}

// handsEnv is how many trays a process has in hand: many, since none takes a processor.
const handsEnv = "NETAGAUGE_DRAIN_HANDS"

// Four processes work off a long queue, one of them killed every ten seconds: every tray
// is measured, and once, in the record. Measuring is a stub; the queue, the list, the
// book and the classes are real. 2,000 trays, or as many as the environment says.
func TestDrainedQueueLosesAndDoublesNothing(t *testing.T) {
	if os.Getenv(longEnv) == "" && os.Getenv(drainTraysEnv) == "" {
		t.Skip(longEnv + "=1 drains a long queue")
	}
	n := int(number(drainTraysEnv))
	if n == 0 {
		n = 2000
	}
	server := postgrestest.Own(t)
	p, err := openPlace(t.Context(), server.URL(), t.TempDir())
	fatal.If(t, err)
	t.Cleanup(p.close)
	db, err := sql.Open("pgx", server.URL())
	fatal.If(t, err)
	t.Cleanup(func() { db.Close() })
	began := time.Now()
	for i := range drainSites {
		fill(t, p, db, drainSite(i), n/drainSites)
	}
	t.Logf("%d trays of %d sites in the list and in the queue after %v", n, drainSites, time.Since(began).Round(time.Second))
	began = time.Now()
	kills := killed(t, server.URL(), func() bool {
		return value(t, db, `SELECT count(*) FROM (SELECT 1 FROM river.river_job WHERE state <> 'completed' LIMIT 1) AS left_over`) == 0
	})
	took := time.Since(began)
	t.Logf("%d trays drained in %v with %d kills: %.0f a second", n, took.Round(time.Second), kills, float64(n)/took.Seconds())
	for i := range drainSites {
		for query, want := range map[string]int{
			`SELECT count(*) FROM SITE.shot WHERE state = 'measured' AND turn = 0`:                              n / drainSites,
			`SELECT count(DISTINCT result) FROM SITE.shot WHERE result <> 0`:                                    n / drainSites,
			`SELECT count(*) FROM SITE.result`:                                                                  n / drainSites,
			`SELECT count(*) FROM SITE.entry WHERE present = 1 AND trainee_id > 0`:                              n / drainSites,
			`SELECT count(DISTINCT result_id) FROM SITE.entry WHERE present = 1`:                                n / drainSites,
			`SELECT count(*) FROM SITE.shot JOIN SITE.result ON result.id = shot.result AND photo_hash <> hash`: 0,
		} {
			if got := value(t, db, strings.ReplaceAll(query, "SITE", drainSite(i))); got != want {
				t.Errorf("site %d: %s gives %d, want %d", i, query, got, want)
			}
		}
	}
}

// drainSites is how many sites the trays are of.
const drainSites = 10

func drainSite(i int) string { return fmt.Sprint("site_drain", i) }

// fill puts trays of a site into its list and the queue, a hundred to a class, twenty to
// an owner.
func fill(t *testing.T, p *place, db *sql.DB, site string, n int) {
	t.Helper()
	f, err := p.site(t.Context(), site)
	fatal.If(t, err)
	fatal.If(t, f.SetSession(t.Context(), intake.Session{Kind: intake.Class, Name: "class 0", HeldOn: time.Now(), Ticket: told()}))
	const copies = `INSERT INTO SITE.sent_to SELECT kind, 'class ' || g, held_on, ticket FROM SITE.sent_to, generate_series(1, $1::int / 100) g`
	const shots = `INSERT INTO SITE.shot (id, owner, who, kind, session, ticket, name, format, bytes, hash, received, state)
		SELECT lpad(g::text, 26, '0'), 'owner ' || g / 20, 'trainee ' || g / 20, kind, 'class ' || g / 100, ticket, g::text, 'jpg', 1, encode(sha256(g::text::bytea), 'hex'), '2026-11-26T10:00:00Z', 'waiting'
		FROM SITE.sent_to, generate_series(1, $1::int) g WHERE sent_to.name = 'class 0'`
	for _, statement := range []string{copies, shots} {
		if _, err := db.ExecContext(t.Context(), strings.ReplaceAll(statement, "SITE", site), n); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := db.ExecContext(t.Context(), `ANALYZE`); err != nil {
		t.Fatal(err)
	}
	for at := 1; at <= n; at += 5000 {
		var all []queue.Tray
		for i := at; i < min(at+5000, n+1); i++ {
			all = append(all, queue.Tray{Site: site, Number: int64(i)})
		}
		fatal.If(t, p.queue.PutAll(t.Context(), all))
	}
}

// killed has four processes work, kills one every ten seconds, and counts.
func killed(t *testing.T, address string, done func() bool) (kills int) {
	t.Helper()
	begin := func() *exec.Cmd {
		this, err := os.Executable()
		fatal.If(t, err)
		c := exec.Command(this)
		c.Env = append(os.Environ(), drainEnv+"="+address)
		c.Stderr = os.Stderr
		fatal.If(t, c.Start())
		return c
	}
	var all [4]*exec.Cmd
	for i := range all {
		all[i] = begin()
	}
	defer func() {
		for _, c := range all {
			c.Process.Kill()
			c.Wait()
		}
	}()
	for ticks := 1; !done(); ticks++ {
		time.Sleep(time.Second)
		if ticks%10 == 0 {
			i := kills % len(all)
			all[i].Process.Kill()
			all[i].Wait()
			all[i] = begin()
			kills++
		}
	}
	return kills
}

func value(t *testing.T, db *sql.DB, query string) (n int) {
	t.Helper()
	if err := db.QueryRowContext(t.Context(), query).Scan(&n); err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return n
}
