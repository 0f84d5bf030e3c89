package class

import (
	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/work/record"

	"bytes"
	"context"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"netagauge/internal/keep/book"
)

// killEnv makes this test binary run a class over a folder, to be killed.
const killEnv = "NETAGAUGE_TEST_CLASS"

func TestMain(m *testing.M) {
	if dir := os.Getenv(killEnv); dir != "" {
		if err := runSlowClass(dir); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

// killPhotos are the trays of the class, killPairs those with a second photo.
const killPhotos, killPairs = 400, 100

func runSlowClass(dir string) error {
	ctx := context.Background()
	b, err := book.Open(ctx, filepath.Join(dir, "book.sqlite"))
	if err != nil {
		return err
	}
	defer b.Close()
	hash, err := b.Ticket(ctx, ticket.Ticket{})
	if err != nil {
		return err
	}
	run, err := b.Begin(ctx, "Monday", time.Now(), hash, "v1")
	if err != nil {
		return err
	}
	folder := filepath.Join(dir, "photos")
	trays, err := Trays(folder)
	if err != nil {
		return err
	}
	check := func(_ context.Context, t record.Tray) (record.Result, error) {
		time.Sleep(8 * time.Millisecond)
		return record.Result{Report: measured(t.First.Name), Picture: bytes.Repeat([]byte{1}, 50_000)}, nil
	}
	_, err = Job{Recorder: record.Recorder{Book: b, Program: "v1", Measure: check}, Folder: folder, Trays: trays, Run: run, Workers: 2}.Do(ctx)
	return err
}

// A class killed at twenty random moments and then run to its end holds every
// photo once, in a sound book.
func TestKilledRunLosesAndDoublesNothing(t *testing.T) {
	dir := t.TempDir()
	fatal.If(t, os.Mkdir(filepath.Join(dir, "photos"), 0o755))
	for i := range killPhotos {
		names := []string{fmt.Sprintf("%02d.jpg", i)}
		if i < killPairs {
			names = append(names, fmt.Sprintf("%02d.b.jpg", i))
		}
		for _, n := range names {
			fatal.If(t, os.WriteFile(filepath.Join(dir, "photos", n), []byte(n), 0o644))
		}
	}
	random := rand.New(rand.NewPCG(20261125, 1))
	kept := 0
	for round := range 20 {
		child := startClass(t, dir)
		time.Sleep(time.Duration(random.IntN(80)) * time.Millisecond)
		child.Process.Kill()
		child.Wait()
		n := count(t, dir, `SELECT count(*) FROM result`)
		if n < kept {
			t.Fatalf("round %d: %d results, there were %d", round, n, kept)
		}
		kept = n
	}
	t.Logf("%d of %d photos were kept over 20 kills", kept, killPhotos)
	if out, err := startClass(t, dir), error(nil); out.Wait() != nil {
		t.Fatalf("the last run failed: %v\n%s", err, out.Stderr)
	}
	for query, want := range map[string]int{
		`SELECT count(*) FROM result`:                                              killPhotos,
		`SELECT count(DISTINCT photo_hash) FROM result`:                            killPhotos,
		`SELECT count(*) FROM result WHERE photo_hash LIKE '%+%'`:                  killPairs,
		`SELECT count(*) FROM piece`:                                               killPhotos,
		`SELECT count(*) FROM entry WHERE present = 1`:                             killPhotos,
		`SELECT count(*) FROM run WHERE finished_at IS NOT NULL`:                   1,
		`SELECT count(*) FROM session`:                                             1,
		`SELECT count(*) FROM pragma_integrity_check WHERE integrity_check = 'ok'`: 1,
		`SELECT count(*) FROM pragma_foreign_key_check`:                            0,
	} {
		if got := count(t, dir, query); got != want {
			t.Errorf("%s gives %d, want %d", query, got, want)
		}
	}
}

func startClass(t *testing.T, dir string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	fatal.If(t, err)
	child := exec.Command(self)
	child.Env = append(os.Environ(), killEnv+"="+dir)
	child.Stderr = &bytes.Buffer{}
	fatal.If(t, child.Start())
	return child
}

// count looks into the book from outside; a book that is not there yet counts 0.
func count(t *testing.T, dir, query string) int {
	t.Helper()
	db, err := sql.Open("sqlite3", "file:"+filepath.Join(dir, "book.sqlite")+"?_busy_timeout=5000")
	fatal.If(t, err)
	defer db.Close()
	var tables, n int
	fatal.If(t, db.QueryRow(`SELECT count(*) FROM sqlite_master WHERE name = 'spot_check'`).Scan(&tables))
	if tables == 0 {
		return 0
	}
	if err := db.QueryRow(query).Scan(&n); err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return n
}
