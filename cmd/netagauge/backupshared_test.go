package main

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"io"
	"maps"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/photos/s3test"
	"netagauge/internal/keep/postgrestest"
	"netagauge/internal/keep/settings"
	"netagauge/testdata/photos"
)

// place is an empty server and bucket, as the options name them.
func place(t *testing.T) (p sharedPlace, bucket *s3test.Fake, options []string) {
	bucket = s3test.StartFake(t)
	p = sharedPlace{postgrestest.Start(t).Database(t), s3test.Address(bucket.URL, "trays")}
	return p, bucket, []string{"--database", p.database, "--photos", p.photos}
}

// take puts a tray into an opened record, and its result into the book if it is to be measured.
func take(t *testing.T, f *intake.Folder, n byte, measured bool) {
	t.Helper()
	told := ticket.Ticket{Standard: standard.Default()}
	session := intake.Session{Kind: intake.Class, Name: "Monday", HeldOn: time.Date(2026, 11, 23, 0, 0, 0, 0, time.UTC), Ticket: told}
	data, err := photos.Files.ReadFile("tray-laid.jpg")
	f.Limits.Free = 0
	fatal.If(t, errors.Join(err, f.SetSession(t.Context(), session)))
	s, err := f.Receive(t.Context(), intake.Shot{Owner: "7", Who: "Bo", Kind: intake.Class, Session: "Monday", Ticket: told, Name: "魚.jpg"}, bytes.NewReader(append(data[:20_000:20_000], n)))
	fatal.If(t, err)
	if !measured {
		return
	}
	report := piece.Tray{Photo: piece.Photo{File: "x"}, Status: piece.TrayMeasured, Pieces: []piece.Piece{
		{Number: 1, State: piece.Measured, Length: piece.Of(80.3, 0.4), Width: piece.Of(35, 0.4), Cover: piece.Of(1, 0), Verdict: piece.Pass}}}
	hash, err := f.Book().Ticket(t.Context(), told)
	fatal.If(t, err)
	if _, err := f.Book().Keep(t.Context(), book.Key{Photo: s.Hash, Ticket: hash, Program: "v1"}, report, book.Pictures{Annotated: []byte{0xff, 0xd8, n}}); err != nil {
		t.Fatal(err)
	}
}

// held is the export of a shared record and the hash of each photo in its bucket.
func held(t *testing.T, p sharedPlace) (export string, hashes map[string][32]byte) {
	t.Helper()
	s, f := opened(t, p)
	defer s.Close()
	var out bytes.Buffer
	fatal.If(t, f.Book().ExportJSON(t.Context(), &out))
	return out.String(), photosOf(t, p, kitchenAlone)
}

// photosOf are the hashes of a site's photos in the bucket.
func photosOf(t *testing.T, p sharedPlace, site string) (hashes map[string][32]byte) {
	t.Helper()
	m := &mover{Caller: &command.Caller{Err: io.Discard}}
	defer m.Close()
	_, _, store, err := m.at(t.Context(), p, site)
	fatal.If(t, err)
	hashes = map[string][32]byte{}
	for name, err := range store.List(t.Context(), "") {
		fatal.If(t, err)
		in, err := store.Open(t.Context(), name)
		fatal.If(t, err)
		data, err := io.ReadAll(in)
		fatal.If(t, errors.Join(err, in.Close()))
		hashes[name] = sha256.Sum256(data)
	}
	return hashes
}

// saying runs the program and holds it to an exit code and to words.
func saying(t *testing.T) func(code int, says string, args ...string) {
	return func(code int, says string, args ...string) {
		t.Helper()
		if got, out, said := netagauge(args...); got != code || !strings.Contains(out+said, says) {
			t.Errorf("%s: exit code %d, %s%s; want %d with %q", args, got, out, said, code, says)
		}
	}
}

// denied is a bucket that takes no photo whose name has that in it.
func denied(in string) func(http.ResponseWriter, *http.Request, http.Handler) {
	return func(w http.ResponseWriter, r *http.Request, next http.Handler) {
		if r.Method == http.MethodPut && strings.Contains(r.URL.Path, in) {
			w.Header().Set("Content-Type", "application/xml")
			w.WriteHeader(http.StatusForbidden)
			io.WriteString(w, `<Error><Code>AccessDenied</Code><Message>no</Message></Error>`)
			return
		}
		next.ServeHTTP(w, r)
	}
}

// opens says what a server is told that opens a site of the place.
func opens(t *testing.T, p sharedPlace, site string) error {
	s, err := p.openShared(t.Context(), (&command.Caller{Err: io.Discard}).Quietly())
	fatal.If(t, err)
	defer s.Close()
	_, err = s.kitchen(t.Context(), site)
	return err
}

func opened(t *testing.T, p sharedPlace) (*shared, *intake.Folder) {
	t.Helper()
	s, err := p.openShared(t.Context(), (&command.Caller{Err: io.Discard}).Quietly())
	fatal.If(t, err)
	k, err := s.kitchen(t.Context(), kitchenAlone)
	fatal.If(t, err)
	return s, k.folder
}

// A server and a bucket in use are backed up, restored into an empty pair and equal the
// first; what is passed through is gone, also after failures.
func TestBackupOfASharedPlace(t *testing.T) {
	passing := t.TempDir()
	p, _, first := place(t)
	q, bucket, second := place(t)
	t.Setenv("TMPDIR", passing)
	s, f := opened(t, p)
	defer s.Close() // it is in use
	for n := range byte(6) {
		take(t, f, n, n%3 != 2)
	}
	dir := t.TempDir()
	file, folder := filepath.Join(dir, "kitchen.tar.gz"), filepath.Join(t.TempDir(), "again")
	damaged := filepath.Join(passing, "damaged")
	verb := saying(t)
	verb(command.ExitUsage, "name one kitchen", append([]string{"backup", "--data", dir, file}, first...)...)
	verb(command.ExitUsage, "both --database and", "backup", "--database", p.database, file)
	verb(command.ExitRefused, "", append([]string{"backup", file}, second...)...)
	verb(command.ExitPass, "holds all of", append([]string{"backup", file}, first...)...)
	verb(command.ExitUsage, "already", append([]string{"backup", file}, first...)...)
	data, err := os.ReadFile(file)
	if err == nil {
		err = os.WriteFile(damaged, data[:len(data)-100], 0o600)
	}
	fatal.If(t, err)
	verb(command.ExitRefused, "", append([]string{"restore", damaged}, second...)...)
	bucket.Spoil(denied("/"))
	verb(command.ExitRefused, "photo of tray", append([]string{"restore", file}, second...)...)
	if err := opens(t, q, kitchenAlone); !errors.Is(err, settings.ErrMoving) {
		t.Errorf("half restored, it opens: %v", err)
	}
	bucket.Spoil(nil)
	verb(command.ExitPass, "is restored from", append([]string{"restore", file}, second...)...)
	verb(command.ExitRefused, "something else", append([]string{"restore", file}, second...)...)
	verb(command.ExitPass, "is restored from", "restore", file, "--data", folder)
	a, x := held(t, p)
	b, y := held(t, q)
	if a != b || a != string(bookOf(t, folder)) || !strings.Contains(a, "80.3") {
		t.Errorf("exports differ: %s and %s", a, b)
	}
	if len(x) != 6 || len(y) != 6 {
		t.Errorf("%d photos, and %d restored", len(x), len(y))
	}
	for name := range x {
		if x[name] != y[name] {
			t.Errorf("photo %s differs", name)
		}
	}
	again, restored := opened(t, q)
	defer again.Close()
	if n, err := restored.Waiting(t.Context()); err != nil || n != 6 {
		t.Errorf("%d trays wait in the restored record: %v", n, err)
	}
	var jobs int
	if err := again.server.Pool().QueryRow(t.Context(), `SELECT count(*) FROM river.river_job`).Scan(&jobs); err != nil || jobs != 6 {
		t.Errorf("workers find %d of them: %v", jobs, err)
	}
	for _, d := range []string{dir, passing} {
		for _, name := range []string{"netagauge-copy-*", "netagauge-move-*", ".*"} {
			if left, err := filepath.Glob(filepath.Join(d, name)); err != nil || len(left) > 0 {
				t.Errorf("left: %v, %v", left, err)
			}
		}
	}
}

// Several sites and what they share are backed up while they are in use, by one command,
// and restored into an empty pair by another, which goes on after it failed; every row and
// photo is as it was.
func TestBackupOfSeveralSites(t *testing.T) {
	p, _, first := place(t)
	q, bucket, second := place(t)
	t.Setenv("TMPDIR", t.TempDir())
	verb := saying(t)
	for _, name := range []string{"osaka", "nara"} { // which nobody opens
		verb(command.ExitPass, "", "sites", "--database", p.database, "--add", name, "--called", "ja=拠点", "--owner", "Mori")
	}
	s, f := opened(t, p)
	defer s.Close()
	take(t, f, 0, true)
	k, err := s.kitchen(t.Context(), "osaka")
	fatal.If(t, err)
	for n := range byte(3) {
		take(t, k.folder, n, n > 0)
	}
	fatal.If(t, k.kept.Keep(t.Context(), settings.Roster, "label,name\n1,Bo\n"))
	file := filepath.Join(t.TempDir(), "all.tar.gz")
	verb(command.ExitPass, "holds all of", append([]string{"backup", file}, first...)...)
	verb(command.ExitRefused, "several sites", "restore", file, "--data", filepath.Join(t.TempDir(), "one"))
	verb(command.ExitRefused, "several sites", "move", "--from", p.database+","+p.photos, "--to", filepath.Join(t.TempDir(), "one"))
	bucket.Spoil(denied("/osaka/"))
	verb(command.ExitRefused, "osaka: ", append([]string{"restore", file}, second...)...)
	for _, site := range []string{kitchenAlone, "osaka"} {
		if err := opens(t, q, site); !errors.Is(err, settings.ErrMoving) {
			t.Errorf("half restored, %s opens: %v", site, err)
		}
	}
	bucket.Spoil(nil)
	verb(command.ExitPass, "is restored from", append([]string{"restore", file}, second...)...)
	verb(command.ExitRefused, "something else", append([]string{"restore", file}, second...)...)
	sameRows(t, p, q)
	for site, n := range map[string]int{kitchenAlone: 1, "osaka": 3} {
		x, y := photosOf(t, p, site), photosOf(t, q, site)
		if len(x) != n || !maps.Equal(x, y) {
			t.Errorf("%s: %d photos, and %d restored", site, len(x), len(y))
		}
		if err := opens(t, q, site); err != nil {
			t.Errorf("%s: %v", site, err)
		}
	}
}

// sameRows holds every table of one place to the other's.
func sameRows(t *testing.T, p, q sharedPlace) {
	t.Helper()
	a, b := allRows(t, p), allRows(t, q)
	if len(a) < 50 || len(a) != len(b) {
		t.Errorf("%d tables, and %d restored", len(a), len(b))
	}
	for name := range a {
		if a[name] != b[name] {
			t.Errorf("%s was %s\nand is %s", name, a[name], b[name])
		}
	}
}

// allRows are the rows of every table of every site and of what they share, but for the
// times when settings were kept.
func allRows(t *testing.T, p sharedPlace) map[string]string {
	t.Helper()
	server, err := database.Connect(t.Context(), p.database)
	fatal.If(t, err)
	defer server.Close()
	rows, err := server.Pool().Query(t.Context(), `SELECT format('%I.%I', table_schema, table_name), CASE table_name WHEN 'setting' THEN 'name, content' ELSE '*' END FROM information_schema.tables
		WHERE (table_schema LIKE 'site%' OR table_schema = 'organisation') AND table_type = 'BASE TABLE' AND table_name NOT LIKE '%\_version'`)
	fatal.If(t, err)
	out := map[string]string{}
	names, err := pgx.CollectRows(rows, func(r pgx.CollectableRow) (pair [2]string, err error) { return pair, r.Scan(&pair[0], &pair[1]) })
	fatal.If(t, err)
	for _, n := range names {
		var text string
		fatal.If(t, server.Pool().QueryRow(t.Context(), `SELECT coalesce(string_agg(x::text, chr(10) ORDER BY x::text), '') FROM (SELECT `+n[1]+` FROM `+n[0]+`) x`).Scan(&text))
		out[n[0]] = text
	}
	return out
}

func TestRoom(t *testing.T) {
	if err := room(t.TempDir(), 1<<62); err == nil || !strings.Contains(err.Error(), "MB are needed") {
		t.Errorf("a disk of four million terabytes: %v", err)
	}
	if err := room(t.TempDir(), 1); err != nil {
		t.Error(err)
	}
}
