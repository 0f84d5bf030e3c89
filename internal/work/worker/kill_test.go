package worker

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	_ "github.com/mattn/go-sqlite3" // looks into the folder from outside

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/keep/intake"
)

// serverEnv makes this test binary a server that takes in photos and measures
// them, in the folder named and by the sort of workers named, to be killed.
const serverEnv, sortEnv = "NETAGAUGE_TEST_SERVER", "NETAGAUGE_TEST_SORT"

// killPhotos is how many photos the phones of the test send to workers of a sort:
// as many as are never all measured.
func killPhotos(sort string) int {
	if sort == measuring {
		return 300
	}
	return 3000
}

// measuring are workers that really measure, photos of the size that phones send.
const measuring = "serve"

// killPhoto is photo n of the phones, and a second one of the same tray.
func killPhoto(dir string, n int) (first, second []byte, err error) {
	first, err = os.ReadFile(filepath.Join(dir, "head.jpg"))
	if err != nil {
		return nil, nil, err
	}
	if os.Getenv(sortEnv) != measuring {
		first = append(first, byte(n), byte(n>>8))
		return first, append(bytes.Clone(first), 'b'), nil
	}
	second, err = os.ReadFile(filepath.Join(dir, "head.b.jpg"))
	return padded(first, n), padded(second, n), err
}

// padded is a JPEG of 3 to 8 MB that no other number has, by comments (ITU-T T.81,
// B.2.4.5).
func padded(photo []byte, n int) []byte {
	size := (3 + n%6) << 20
	out := append(make([]byte, 0, size+1<<17), photo[:2]...)
	for len(out)+len(photo) < size {
		comment := make([]byte, 65_000)
		copy(comment, fmt.Sprint(n))
		out = append(out, 0xff, 0xfe, byte((len(comment)+2)>>8), byte((len(comment)+2)&0xff))
		out = append(out, comment...)
	}
	return append(out, photo[2:]...)
}

// quickWorker answers without measuring.
func quickWorker() error {
	if err := writeFrame(os.Stdout, ready{}, strings.NewReader(""), 0); err != nil {
		return err
	}
	for {
		var q request
		data, err := readFrame(os.Stdin, &q, 64<<20)
		if err != nil {
			return err
		}
		time.Sleep(2 * time.Millisecond)
		r := piece.Tray{Photo: piece.Photo{File: q.Name}, Status: piece.TrayMeasured, Pieces: []piece.Piece{
			{Number: 1, State: piece.Measured, Length: piece.Of(float64(len(data)), 1), Width: piece.Of(35, 1), Cover: piece.Of(1, 0), Verdict: piece.Pass}}}
		sum := sha256.New()
		sum.Write(data)
		if err := writeFrame(os.Stdout, answer{To: to(q.Nonce, sum), Report: &r}, bytes.NewReader(make([]byte, 20_000)), 20_000); err != nil {
			return err
		}
	}
}

// killedServer lets three phones send what nobody told them was received, and
// notes what they were told.
func killedServer(dir string) error {
	ctx := context.Background()
	f, err := intake.Open(ctx, filepath.Join(dir, "kitchen"), "v1")
	if err != nil {
		return err
	}
	f.Limits.Free = 0
	if os.Getenv(sortEnv) == measuring {
		f.Limits.Waiting = 12 // what is left at the end is measured, too
	}
	if err := f.SetSession(ctx, intake.Session{Kind: intake.Class, Name: "Monday", HeldOn: time.Now(), Ticket: told()}); err != nil {
		return err
	}
	known, err := toldReceived(dir)
	if err != nil {
		return err
	}
	notes, err := os.OpenFile(filepath.Join(dir, "told"), os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	this, err := os.Executable()
	if err != nil {
		return err
	}
	pool := NewPool(Options{Workers: 2, Command: []string{this}, Env: []string{workerEnv + "=" + os.Getenv(sortEnv), markEnv + "=" + filepath.Join(dir, "pids")}})
	go Run(ctx, f, pool, func(err error) { fmt.Fprintln(os.Stderr, err) })
	var next atomic.Int64
	failed := make(chan error)
	for range 3 {
		go func() {
			for {
				n := int(next.Add(1))
				if n > killPhotos(os.Getenv(sortEnv)) {
					failed <- nil
					return
				}
				if known[n] {
					continue
				}
				if err := phone(ctx, f, notes, dir, n); err != nil {
					failed <- err
					return
				}
			}
		}()
	}
	for range 3 {
		if err := <-failed; err != nil {
			return err
		}
	}
	for {
		n, err := f.Waiting(ctx)
		if err != nil || n == 0 {
			return errors.Join(err, f.Close())
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// phone sends photo n until it is received, every third time a second one behind
// it, and notes that it was told so.
func phone(ctx context.Context, f *intake.Folder, notes *os.File, dir string, n int) error {
	photo, second, err := killPhoto(dir, n)
	if err != nil {
		return err
	}
	for {
		s, err := f.Receive(ctx, intake.Shot{Owner: fmt.Sprint(n), Who: fmt.Sprint(n), Kind: intake.Class, Session: "Monday", Ticket: told(), Name: fmt.Sprint(n)},
			io.MultiReader(bytes.NewReader(photo[:1000]), bytes.NewReader(photo[1000:])))
		if errors.Is(err, intake.ErrBusy) {
			time.Sleep(20 * time.Millisecond)
			continue
		}
		if err != nil {
			return err
		}
		if n%3 == 0 {
			_, err = f.AddSecond(ctx, s.ID, "moved", bytes.NewReader(second))
		}
		if errors.Is(err, intake.ErrBusy) {
			time.Sleep(20 * time.Millisecond)
			continue
		}
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(notes, "%d %s\n", n, s.ID)
		return err
	}
}

// toldReceived is what the phones were told was received.
func toldReceived(dir string) (map[int]bool, error) {
	text, err := os.ReadFile(filepath.Join(dir, "told"))
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, err
	}
	out := map[int]bool{}
	for line := range strings.Lines(string(text)) {
		var n int
		var id string
		if k, _ := fmt.Sscan(line, &n, &id); k == 2 {
			out[n] = true
		}
	}
	return out, nil
}

// A server killed at random moments loses nothing that a phone was told was
// received, measures everything once, and leaves no worker behind.
func TestKilledServerLosesAndDoublesNothing(t *testing.T) {
	rounds := 4
	if os.Getenv(longEnv) != "" {
		rounds = 50
	}
	dir := t.TempDir()
	fatal.If(t, os.WriteFile(filepath.Join(dir, "head.jpg"), sample(t, "tray-laid.jpg")[:60_000], 0o600))
	killRounds(t, dir, rounds, "quick", 250, 700)
}

// The same with workers that really measure photos of 3 to 8 MB, every third with a
// second one: fifty rounds, or as many as the environment says.
func TestKilledServerThatMeasures(t *testing.T) {
	if os.Getenv(longEnv) == "" || raceDetector {
		t.Skip(longEnv + "=1 kills a server fifty times while photos are measured, without -race")
	}
	rounds := 50
	if n := int(number(longEnv)); n > 1 {
		rounds = n
	}
	dir := t.TempDir()
	for to, from := range map[string]string{"head.jpg": "../pairs/koba.jpg", "head.b.jpg": "../pairs/koba.b.jpg"} {
		fatal.If(t, os.WriteFile(filepath.Join(dir, to), sample(t, from), 0o600))
	}
	killRounds(t, dir, rounds, measuring, 1000, 4000)
}

// killRounds kills a server again and again, after some milliseconds and up to so
// many more, and counts.
func killRounds(t *testing.T, dir string, rounds int, sort string, least, more int) {
	t.Helper()
	random := rand.New(rand.NewPCG(20261125, 7))
	kept, done := 0, 0
	slow := time.Duration(1) // how much longer everything takes here, as it turns out
	for round := 0; round < rounds || done == 0 && round < rounds+10; round++ {
		server := startServer(t, dir, sort)
		time.Sleep(slow * time.Duration(least+random.IntN(more)) * time.Millisecond)
		server.Process.Kill()
		server.Wait()
		noWorkersLeft(t, dir)
		received, err := toldReceived(dir)
		fatal.If(t, err)
		n, results := count(t, dir, "intake.sqlite", `SELECT count(*) FROM shot`), count(t, dir, "book.sqlite", `SELECT count(*) FROM result`)
		if n < len(received) || n < kept || results < done {
			t.Fatalf("round %d: %d photos in the list and %d results; phones were told of %d, and there were %d and %d", round, n, results, len(received), kept, done)
		}
		kept, done = n, results
		if done == 0 {
			slow++
		}
	}
	t.Logf("%d kills: %d photos received and %d measured by then", rounds, kept, done)
	if kept == 0 || done == 0 {
		t.Error("the server was always killed before it did anything")
	}
	finish(t, dir, kept, sort)
}

// A worker that hangs over a photo, and so sees no end of its input, ends with
// its server all the same.
func TestHangingWorkersEndWithTheServer(t *testing.T) {
	dir := t.TempDir()
	fatal.If(t, os.WriteFile(filepath.Join(dir, "head.jpg"), sample(t, "tray-laid.jpg")[:60_000], 0o600))
	server := startServer(t, dir, "hang")
	started := func() bool {
		pids, _ := os.ReadFile(filepath.Join(dir, "pids"))
		return strings.Count(string(pids), "\n") == 2
	}
	for range 1200 {
		if started() {
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	if !started() {
		t.Error("the workers did not start")
	}
	server.Process.Kill()
	server.Wait()
	noWorkersLeft(t, dir)
}

// finish lets the phones send what is left of the first photos, and everything
// be measured; then it counts.
func finish(t *testing.T, dir string, kept int, sort string) {
	f, err := intake.Open(t.Context(), filepath.Join(dir, "kitchen"), "v1")
	fatal.If(t, err)
	t.Logf("found and put right: %+v", f.Found())
	p := pool4test(t, sort, Options{})
	runFor(t, f, p)
	settle(t, f)
	files, err := os.ReadDir(filepath.Join(f.Dir(), "photos"))
	fatal.If(t, err)
	seconds := count(t, dir, "intake.sqlite", `SELECT count(*) FROM second`)
	if len(files) != kept+seconds || seconds == 0 {
		t.Errorf("%d photos on the disk, %d and %d second ones in the list", len(files), kept, seconds)
	}
	received, err := toldReceived(dir)
	fatal.If(t, err)
	shots, err := f.List(t.Context(), intake.Filter{})
	fatal.If(t, err)
	for _, s := range shots {
		var n int
		fmt.Sscan(s.Name, &n)
		delete(received, n)
		if s.State != intake.Measured {
			t.Errorf("photo %d is %s: %v", s.Number, s.State, s.Why)
		}
	}
	if len(received) > 0 {
		t.Errorf("%d photos that phones were told were received are lost", len(received))
	}
	for query, want := range map[string]int{
		"intake.sqlite SELECT count(DISTINCT hash) FROM shot":                                                                                              kept,
		"intake.sqlite SELECT count(DISTINCT result) FROM shot":                                                                                            kept,
		"intake.sqlite SELECT count(DISTINCT shot) FROM second WHERE useless = 0":                                                                          seconds,
		"book.sqlite SELECT count(*) - count(DISTINCT photo_hash) FROM result":                                                                             0,
		"book.sqlite SELECT count(*) FROM result WHERE photo_hash LIKE '%+%'":                                                                              seconds,
		"book.sqlite SELECT count(DISTINCT substr(photo_hash, 1, 64)) FROM result":                                                                         kept,
		"book.sqlite SELECT count(DISTINCT result_id) FROM entry WHERE present = 1 AND trainee_id > 0":                                                     kept,
		"book.sqlite SELECT count(*) FROM entry JOIN result ON result.id = entry.result_id WHERE present = 1 AND trainee_id > 0 AND photo_hash LIKE '%+%'": seconds,
		"book.sqlite SELECT count(*) FROM entry WHERE present = 1 AND trainee_id > 0":                                                                      kept,
		"book.sqlite SELECT count(*) FROM pragma_foreign_key_check":                                                                                        0,
		"book.sqlite SELECT count(*) FROM pragma_integrity_check WHERE integrity_check = 'ok'":                                                             1,
		"intake.sqlite SELECT count(*) FROM pragma_integrity_check WHERE integrity_check = 'ok'":                                                           1,
	} {
		file, query, _ := strings.Cut(query, " ")
		if got := count(t, dir, file, query); got != want {
			t.Errorf("%s: %s gives %d, want %d", file, query, got, want)
		}
	}
	f.Close()
}

func startServer(t *testing.T, dir, sort string) *exec.Cmd {
	t.Helper()
	this, err := os.Executable()
	fatal.If(t, err)
	server := exec.Command(this)
	server.Env = append(os.Environ(), serverEnv+"="+dir, sortEnv+"="+sort)
	server.Stderr = os.Stderr
	fatal.If(t, server.Start())
	return server
}

// noWorkersLeft waits a little for the workers to end with their server.
func noWorkersLeft(t *testing.T, dir string) {
	t.Helper()
	pids, err := os.ReadFile(filepath.Join(dir, "pids"))
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	for range 100 {
		left := 0
		for pid := range strings.FieldsSeq(string(pids)) {
			env, _ := os.ReadFile(filepath.Join("/proc", pid, "environ"))
			if bytes.Contains(env, []byte(dir)) {
				left++
			}
		}
		if left == 0 {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Error("workers are left behind")
}

// count looks into a database from outside; one that is not there yet counts 0.
func count(t *testing.T, dir, file, query string) int {
	t.Helper()
	path := filepath.Join(dir, "kitchen", file)
	if _, err := os.Stat(path); err != nil {
		return 0
	}
	db, err := sql.Open("sqlite3", "file:"+path+"?_busy_timeout=5000")
	fatal.If(t, err)
	defer db.Close()
	var n int
	err = db.QueryRow(query).Scan(&n)
	if err != nil && strings.Contains(err.Error(), "no such table") {
		return 0
	}
	if err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return n
}
