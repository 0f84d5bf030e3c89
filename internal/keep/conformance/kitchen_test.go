package conformance

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/sync/errgroup"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/enginetest"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/photos"
	"netagauge/internal/keep/postgrestest"
	trays "netagauge/testdata/photos"
)

func TestMain(m *testing.M) { enginetest.Main(m) }

// kitchen is a record with all of its parts, as one process has it open.
type kitchen struct {
	testing.TB
	book     *book.Book
	list     *intake.Folder
	accounts *account.Accounts

	dir   string         // of files
	at    database.Place // else
	store photos.Store
}

const program = "v1"

var monday = time.Date(2026, 11, 23, 0, 0, 0, 0, time.UTC)

func told() ticket.Ticket { return ticket.Ticket{Standard: standard.Default()} }

func newKitchen(t testing.TB) *kitchen {
	k := &kitchen{TB: t}
	if enginetest.Shared() {
		k.at = enginetest.Place(t)
		dir := t.TempDir()
		k.store = must(photos.InFolder(filepath.Join(dir, "photos"), filepath.Join(dir, "aside")))(t)
	} else {
		k.dir = t.TempDir()
	}
	k.open()
	for _, s := range []intake.Session{{Kind: intake.Class, Name: "Monday", HeldOn: monday, Ticket: told()}, {Kind: intake.Line, Name: "lunch", Ticket: told()}} {
		k.ok(k.list.SetSession(t.Context(), s))
	}
	return k
}

func (k *kitchen) open() {
	if k.dir != "" {
		k.list = must(intake.Open(k.Context(), k.dir, program))(k.TB)
		k.accounts = must(account.Open(k.Context(), filepath.Join(k.dir, intake.AccountsFile)))(k.TB)
	} else {
		k.list = must(intake.OpenShared(k.Context(), intake.Shared{At: k.at, Photos: k.store, Tmp: k.TempDir()}, program))(k.TB)
		k.accounts = must(account.OpenAt(k.Context(), k.at))(k.TB)
	}
	k.book, k.list.Limits.Free = k.list.Book(), 0
	k.Cleanup(func() { k.list.Close(); k.accounts.Close() })
}

// other is the kitchen as another process has it. A folder's list is one process's.
func (k *kitchen) other() *kitchen {
	o := *k
	if k.dir == "" {
		o.open()
		return &o
	}
	o.book = must(book.Open(k.Context(), filepath.Join(k.dir, intake.BookFile)))(k.TB)
	o.accounts = must(account.Open(k.Context(), filepath.Join(k.dir, intake.AccountsFile)))(k.TB)
	k.Cleanup(func() { o.book.Close(); o.accounts.Close() })
	return &o
}

// crashed is the kitchen as it is found after this process was killed, or the server.
func (k *kitchen) crashed() *kitchen {
	o := *k
	if k.dir == "" {
		s := postgrestest.Start(k)
		s.Crash(k)
		s.Again(k)
	} else { // what is in the files while they are open is what a killed process leaves
		o.dir = k.TempDir()
		k.ok(os.CopyFS(o.dir, os.DirFS(k.dir)))
	}
	o.open()
	return &o
}

func (k *kitchen) ok(errs ...error) {
	k.Helper()
	for _, err := range errs {
		fatal.If(k, err)
	}
}

// must takes a value and its error, and then the test that the error ends.
func must[T any](v T, err error) func(testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		fatal.If(t, err)
		return v
	}
}

// want holds what was got, as it is printed, to what is wanted.
func (k *kitchen) want(got, want any) {
	k.Helper()
	if g, w := print(got), print(want); g != w {
		k.Errorf("got %s, want %s", g, w)
	}
}

// atOnce runs f for each kitchen several times at the same moment and counts where it was
// true.
func atOnce(k *kitchen, f func(ctx context.Context, k *kitchen) (bool, error)) (n int) {
	k.Helper()
	all := []*kitchen{k, k.other(), k, k.other()}
	won := make([]bool, len(all))
	start := make(chan struct{})
	var g errgroup.Group
	for i, o := range all {
		g.Go(func() (err error) {
			<-start
			won[i], err = f(k.Context(), o)
			return err
		})
	}
	close(start)
	k.ok(g.Wait())
	for _, w := range won {
		if w {
			n++
		}
	}
	return n
}

// photo is one whose header is sound and whose content is its own.
func photo(t testing.TB, n int) []byte {
	data := must(trays.Files.ReadFile("tray-laid.jpg"))(t)
	return append(bytes.Clone(data[:60_000]), byte(n), byte(n>>8))
}

func sent(owner string) intake.Shot {
	return intake.Shot{Owner: "trainee/" + owner, Who: owner, Kind: intake.Class, Session: "Monday", Ticket: told(), Name: "IMG_1.jpg"}
}

func (k *kitchen) receive(s intake.Shot, n int) intake.Shot {
	k.Helper()
	return must(k.list.Receive(k.Context(), s, bytes.NewReader(photo(k, n))))(k.TB)
}

func report(file string) piece.Tray {
	return piece.Tray{Photo: piece.Photo{File: file, WidthPx: 4000, HeightPx: 3000}, Status: piece.TrayMeasured, Pieces: []piece.Piece{
		{Number: 1, State: piece.Measured, Outline: [][2]float64{{0, 0}, {80, 0}, {80, 35}}, Length: piece.Of(80+1/3., 0.4), Width: piece.Of(35, 0.4),
			Cover: piece.Of(1, 0), Verdict: piece.Fail, Faults: []piece.Fault{{What: "length"}, {What: "width", Unsure: true}}}}}
}

// keep puts a result into the book.
func (k *kitchen) keep(name string) (result int64, hash string) {
	k.Helper()
	hash = must(k.book.Ticket(k.Context(), told()))(k.TB)
	return must(k.book.Keep(k.Context(), book.Key{Photo: book.Hash([]byte(name)), Ticket: hash, Program: program}, report(name), book.Pictures{}))(k.TB), hash
}

// outcome puts what was measured of a shot into the book.
func (k *kitchen) outcome(ctx context.Context, s intake.Shot) (intake.Outcome, error) {
	hash, err := k.book.Ticket(ctx, s.Ticket)
	if err != nil {
		return intake.Outcome{}, err
	}
	id, err := k.book.Keep(ctx, book.Key{Photo: s.Hash, Ticket: hash, Program: program}, report(s.Name), book.Pictures{Annotated: []byte{0xff, 0xd8}})
	return intake.Outcome{Result: id}, err
}

// measure does a worker's part of a shot.
func (k *kitchen) measure(ctx context.Context, s intake.Shot) error {
	o, err := k.outcome(ctx, s)
	if err != nil {
		return err
	}
	return k.list.Settle(ctx, s, o)
}

// counted are whose photos count in the class, in order.
func (k *kitchen) counted() string {
	k.Helper()
	run := must(k.list.Run(k.Context(), "Monday"))(k.TB)
	var out []string
	for _, e := range must(k.book.Entries(k.Context(), run.ID))(k.TB) {
		if e.Trainee != "" {
			out = append(out, e.Trainee)
		}
	}
	return strings.Join(out, ", ")
}
