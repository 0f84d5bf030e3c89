package move

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/organisation"
	"netagauge/internal/keep/photos"
	"netagauge/internal/keep/photos/bucket"
	"netagauge/internal/keep/photos/s3test"
	"netagauge/internal/keep/postgrestest"
	"netagauge/internal/keep/settings"
	samples "netagauge/testdata/photos"
)

func TestMain(m *testing.M) {
	if os.Getenv(inside) != "" {
		os.Exit(stopped())
	}
	postgrestest.Main(m)
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// kitchen is a data folder with trays, a second photo, accounts, settings, a number that
// is gone and odd texts.
func kitchen(t testing.TB, trays int) string { return kitchenOf(t, trays, 0) }

// kitchenOf is one of whose photos so many are whole; the others have 20 kB.
func kitchenOf(t testing.TB, trays, whole int) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "kitchen")
	f, err := intake.Open(t.Context(), dir, "v1")
	must(t, err)
	defer f.Close()
	f.Limits.Free, f.Limits.Waiting, f.Limits.Each = 0, trays+10, trays+10
	told := ticket.Ticket{Standard: standard.Default()}
	must(t, f.SetSession(t.Context(), intake.Session{Kind: intake.Class, Name: "Monday ‘ä’", HeldOn: time.Date(2026, 11, 23, 0, 0, 0, 0, time.UTC), Ticket: told}))
	sample, err := samples.Files.ReadFile("tray-laid.jpg")
	must(t, err)
	for i := range trays {
		s := intake.Shot{Owner: "7", Who: fmt.Sprintf("Trainee %d", i%3), Kind: intake.Class, Session: "Monday ‘ä’", Ticket: told, Name: "魚 🐟.jpg"}
		photo := numbered(sample[:20_000], i)
		if i < whole {
			photo = numbered(sample, i)
		}
		s, err := f.Receive(t.Context(), s, bytes.NewReader(photo))
		must(t, err)
		if i%5 == 4 {
			continue // it waits
		}
		taken, found, err := f.Next(t.Context())
		must(t, err)
		if !found {
			t.Fatal("no tray waits")
		}
		settle(t, f, taken, i)
		if i == 3 {
			_, err = f.AddSecond(t.Context(), s.ID, "b.jpg", bytes.NewReader(numbered(photo, 1)))
			must(t, err)
		}
	}
	_, err = f.Run(t.Context(), "Monday ‘ä’")
	must(t, err)
	texts := settings.InFolder(dir)
	for _, name := range settings.Names() {
		if name != settings.Prints {
			must(t, texts.Keep(t.Context(), name, "text of "+name+"\r\n"))
		}
	}
	a, err := account.Open(t.Context(), filepath.Join(dir, intake.AccountsFile))
	must(t, err)
	defer a.Close()
	_, err = a.AddPasscode(t.Context(), account.Instructor, "Aoi")
	must(t, err)
	_, err = a.AddPasscode(t.Context(), account.Chef, "Bo")
	must(t, err)
	return dir
}

// numbered is a JPEG with a number in a comment: what is behind its end would be cut off.
func numbered(jpeg []byte, n int) []byte {
	return slices.Concat(jpeg[:2], []byte{0xff, 0xfe, 0, 5, byte(n), byte(n >> 8), byte(n >> 16)}, jpeg[2:])
}

func settle(t testing.TB, f *intake.Folder, s intake.Shot, i int) {
	t.Helper()
	report := piece.Tray{Photo: piece.Photo{File: "x"}, Status: piece.TrayMeasured, Pieces: []piece.Piece{
		{Number: 1, State: piece.Measured, Outline: [][2]float64{{0, 0}, {80, 0}, {80, 35}}, Length: piece.Of(80+float64(i)/300, 0.4), Width: piece.Of(35, 0.4), Cover: piece.Of(1, 0), Verdict: piece.Pass}}}
	hash, err := f.Book().Ticket(t.Context(), s.Ticket)
	must(t, err)
	id, err := f.Book().Keep(t.Context(), book.Key{Photo: s.Hash, Ticket: hash, Program: "v1"}, report, book.Pictures{Annotated: []byte{0xff, 0xd8, byte(i)}})
	must(t, err)
	must(t, f.Settle(t.Context(), s, intake.Outcome{Result: id}))
}

// pair is an empty schema and an empty part of a bucket.
type pair struct {
	server *database.Server
	at     database.Place
	name   string
	store  photos.Store
}

// bucketAt opens the store at an address.
func bucketAt(t testing.TB, address string) photos.Store {
	t.Helper()
	a, err := bucket.Parse(address)
	must(t, err)
	s, err := bucket.Open(a, t.TempDir())
	must(t, err)
	return s
}

func newPair(t testing.TB) pair {
	t.Helper()
	p := postgrestest.Start(t)
	server, err := database.Connect(t.Context(), p.URL())
	must(t, err)
	t.Cleanup(server.Close)
	name := p.Schema(t)
	return pair{server, server.Schema(name), name, bucketAt(t, s3test.Address(s3test.StartFake(t).URL, "k"))}
}

// there moves a folder into the pair.
func there(ctx context.Context, dir string, p pair) (Count, error) {
	from, err := Kitchen.FromFolder(dir)
	if err != nil {
		return Count{}, err
	}
	defer from.Close()
	to, err := Kitchen.ToShared(ctx, p.at, p.name, p.store, dir)
	if err != nil {
		return Count{}, err
	}
	defer to.Close()
	return Run(ctx, from, to, nil, nil)
}

// back moves the pair into a folder.
func back(ctx context.Context, p pair, dir string) (Count, error) {
	from, err := Kitchen.FromShared(ctx, p.at, p.name, p.store)
	if err != nil {
		return Count{}, err
	}
	defer from.Close()
	to, err := Kitchen.ToFolder(ctx, dir, p.name)
	if err != nil {
		return Count{}, err
	}
	defer to.Close()
	return Run(ctx, from, to, nil, nil)
}

// export is the whole book of a folder as it is given away.
func export(t testing.TB, dir string) []byte {
	t.Helper()
	b, err := book.Open(t.Context(), filepath.Join(dir, intake.BookFile))
	must(t, err)
	defer b.Close()
	var out bytes.Buffer
	must(t, b.ExportJSON(t.Context(), &out))
	return out.Bytes()
}

// files are all files of a folder but its databases, with their bytes, and where with
// is true with their times.
func files(t testing.TB, dir string, times bool) map[string]string {
	t.Helper()
	out := map[string]string{}
	must(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err == nil && d.IsDir() && d.Name() == intake.TmpDir {
			return filepath.SkipDir // emptied when the folder is opened
		}
		if err != nil || d.IsDir() {
			return err
		}
		name, _ := filepath.Rel(dir, path)
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if times {
			info, err := d.Info()
			if err != nil {
				return err
			}
			out[name] = info.ModTime().String() + info.Mode().String()
		} else if strings.Contains(name, ".sqlite") || name == intake.LockFile {
			return nil
		}
		out[name] += string(data)
		return nil
	}))
	return out
}

// equal fails unless two folders hold the same.
func equal(t testing.TB, a, b string) {
	t.Helper()
	if x, y := export(t, a), export(t, b); !bytes.Equal(x, y) {
		t.Errorf("exports of %d and %d bytes differ", len(x), len(y))
	}
	x, y := files(t, a, false), files(t, b, false)
	for name := range x {
		if x[name] != y[name] {
			t.Errorf("%s differs", name)
		}
	}
	for name := range y {
		if _, there := x[name]; !there {
			t.Errorf("%s is only in the second", name)
		}
	}
	one, err := Kitchen.FromFolder(a)
	must(t, err)
	defer one.Close()
	two, err := Kitchen.FromFolder(b)
	must(t, err)
	defer two.Close()
	for _, p := range Kitchen.parts {
		tables, err := tablesOf(t.Context(), one.tables[p.name])
		must(t, err)
		for _, table := range tables {
			must(t, table.same(t.Context(), one.tables[p.name], two.tables[p.name]))
		}
	}
}

func TestThereAndBack(t *testing.T) {
	dir := kitchen(t, 12)
	before := files(t, dir, true)
	p := newPair(t)
	moved, err := there(t.Context(), dir, p)
	must(t, err)
	if moved.Photos != 13 || moved.Rows < 40 || moved.Absent != 0 {
		t.Errorf("moved %+v", moved)
	}
	after := files(t, dir, true)
	for name := range after {
		if after[name] != before[name] {
			t.Errorf("%s of the source is not as it was", name)
		}
	}
	if len(after) != len(before) {
		t.Errorf("the source has %d files, had %d", len(after), len(before))
	}
	again := filepath.Join(t.TempDir(), "again")
	_, err = back(t.Context(), p, again)
	must(t, err)
	equal(t, dir, again)
	if _, err := there(t.Context(), dir, p); !errors.Is(err, ErrTaken) {
		t.Errorf("into what is full: %v", err)
	}
	if _, err := back(t.Context(), p, again); !errors.Is(err, ErrTaken) {
		t.Errorf("into a folder that is full: %v", err)
	}
	f, err := intake.Open(t.Context(), again, "v1")
	must(t, err)
	defer f.Close()
	if f.Found() != (intake.Found{}) {
		t.Errorf("found %+v to put right", f.Found())
	}
	one := sendOne(t, f)
	if one.Number != 13 {
		t.Errorf("the next tray is number %d", one.Number)
	}
}

func sendOne(t *testing.T, f *intake.Folder) intake.Shot {
	t.Helper()
	sample, err := samples.Files.ReadFile("tray-laid.jpg")
	must(t, err)
	f.Limits.Free = 0
	s, err := f.Receive(t.Context(), intake.Shot{Owner: "7", Who: "x", Kind: intake.Class, Session: "Monday ‘ä’", Ticket: ticket.Ticket{Standard: standard.Default()}, Name: "x.jpg"}, bytes.NewReader(sample))
	must(t, err)
	return s
}

// Numbers go on where they were, also in PostgreSQL, whose rows were given theirs.
func TestNumbersGoOn(t *testing.T) {
	dir := kitchen(t, 4)
	p := newPair(t)
	_, err := there(t.Context(), dir, p)
	must(t, err)
	db, err := database.Raw(p.at)
	must(t, err)
	defer db.Close()
	for table, column := range map[string]string{"shot": "number", "result": "id", "entry": "id", "passcode": "id"} {
		var most, next int64
		must(t, db.QueryRow(`SELECT max("`+column+`") FROM "`+table+`"`).Scan(&most))
		must(t, db.QueryRow(`SELECT nextval(pg_get_serial_sequence('`+table+`', '`+column+`'))`).Scan(&next))
		if next != most+1 {
			t.Errorf("%s goes on with %d after %d", table, next, most)
		}
	}
}

func TestRefused(t *testing.T) {
	dir := kitchen(t, 3)
	p := newPair(t)
	f, err := intake.Open(t.Context(), dir, "v1")
	must(t, err)
	if _, err := there(t.Context(), dir, p); !errors.Is(err, intake.ErrInUse) {
		t.Errorf("while it is served: %v", err)
	}
	must(t, f.Close())
	if _, err := there(t.Context(), t.TempDir(), p); err == nil || !strings.Contains(err.Error(), "no data folder") {
		t.Errorf("from nothing: %v", err)
	}
	if _, err := back(t.Context(), p, t.TempDir()); err == nil {
		t.Error("an empty schema was moved")
	}
	other := kitchen(t, 2)
	version(t, other, 999)
	if _, err := there(t.Context(), other, p); err == nil || !strings.Contains(err.Error(), "newer") {
		t.Errorf("of a newer program: %v", err)
	}
	version(t, other, 3)
	if _, err := there(t.Context(), dir, p); !errors.Is(err, ErrTaken) || !strings.Contains(err.Error(), other) {
		t.Errorf("another move into the same: %v", err)
	}
	if _, err := there(t.Context(), other, p); err == nil || !strings.Contains(err.Error(), "earlier program") {
		t.Errorf("of an older program: %v", err)
	}
	if _, err := settings.OpenAt(t.Context(), p.at); !errors.Is(err, settings.ErrMoving) {
		t.Errorf("half moved it opens: %v", err)
	}
	folder := filepath.Join(t.TempDir(), "f")
	must(t, os.Mkdir(folder, 0o700))
	must(t, os.WriteFile(filepath.Join(folder, "lunch.txt"), nil, 0o600))
	q := newPair(t)
	_, err = there(t.Context(), dir, q)
	must(t, err)
	if _, err := back(t.Context(), q, folder); !errors.Is(err, ErrTaken) {
		t.Errorf("into a folder with something in it: %v", err)
	}
}

// version sets what the list says that its tables are.
func version(t *testing.T, dir string, v int) {
	t.Helper()
	db, err := database.Raw(database.File(filepath.Join(dir, intake.ListFile)))
	must(t, err)
	defer db.Close()
	_, err = db.Exec(`DELETE FROM goose_db_version`)
	must(t, err)
	_, err = db.Exec(`INSERT INTO goose_db_version (version_id, is_applied) VALUES ($1, 1)`, v)
	must(t, err)
}

// A photo that is not the one received stops the move, by its name; one that is gone is
// counted.
func TestDamagedPhoto(t *testing.T) {
	dir := kitchen(t, 6)
	all, err := filepath.Glob(filepath.Join(dir, intake.PhotosDir, "*"))
	must(t, err)
	data, err := os.ReadFile(all[2])
	must(t, err)
	data[777] ^= 1
	must(t, os.WriteFile(all[2], data, 0o600))
	p := newPair(t)
	if _, err := there(t.Context(), dir, p); !errors.Is(err, photos.ErrOther) || !strings.Contains(err.Error(), filepath.Base(all[2])) {
		t.Errorf("error %v", err)
	}
	if _, err := settings.OpenAt(t.Context(), p.at); !errors.Is(err, settings.ErrMoving) {
		t.Errorf("half moved it opens: %v", err)
	}
	data[777] ^= 1
	must(t, os.WriteFile(all[2], data, 0o600))
	must(t, os.Remove(all[3]))
	must(t, p.store.Delete(t.Context(), filepath.Base(all[3]))) // which may be there already
	moved, err := there(t.Context(), dir, p)
	if err != nil || moved.Absent != 1 || moved.Photos != int64(len(all))-1 {
		t.Errorf("moved %+v, %v", moved, err)
	}
}

// A source that its server left in a hurry has what was said to be kept in its log.
func TestLeftInAHurry(t *testing.T) {
	dir := kitchen(t, 3)
	db, err := database.Raw(database.File(filepath.Join(dir, intake.BookFile)))
	must(t, err)
	_, err = db.Exec(`INSERT INTO task (name, task, made_at) VALUES ('late', '{}', '2026-11-26T00:00:00Z')`)
	must(t, err)
	hurried := filepath.Join(t.TempDir(), "hurried") // as it is before the log is worked in
	must(t, os.CopyFS(hurried, os.DirFS(dir)))
	must(t, db.Close())
	must(t, os.Remove(filepath.Join(hurried, intake.BookFile+"-shm")))
	before := files(t, hurried, true)
	p := newPair(t)
	_, err = there(t.Context(), hurried, p)
	must(t, err)
	if after := files(t, hurried, true); len(after) != len(before) || after[intake.BookFile+"-wal"] != before[intake.BookFile+"-wal"] {
		t.Error("the source was touched")
	}
	again := filepath.Join(t.TempDir(), "again")
	_, err = back(t.Context(), p, again)
	must(t, err)
	equal(t, dir, again)
}

// inside has the test binary be a process that moves and may be killed.
const inside = "NETAGAUGE_TEST_MOVING"

func stopped() int {
	ctx := context.Background()
	server, err := database.Connect(ctx, os.Getenv("MOVE_SERVER"))
	if err == nil {
		var a bucket.Address
		a, err = bucket.Parse(os.Getenv("MOVE_PHOTOS"))
		var store photos.Store
		if err == nil {
			store, err = bucket.Open(a, "")
		}
		p := pair{server, server.Schema(os.Getenv("MOVE_SCHEMA")), os.Getenv("MOVE_SCHEMA"), store}
		if err == nil && os.Getenv(inside) == "there" {
			_, err = there(ctx, os.Getenv("MOVE_DIR"), p)
		} else if err == nil {
			_, err = back(ctx, p, os.Getenv("MOVE_DIR"))
		}
	}
	if err != nil {
		fmt.Println(err)
		return 1
	}
	return 0
}

// A file that a killed move left half-written is neither in the way nor brought along.
func TestHalfWrittenIsTidied(t *testing.T) {
	dir, p, again := kitchen(t, 3), newPair(t), filepath.Join(t.TempDir(), "again")
	_, err := there(t.Context(), dir, p)
	must(t, err)
	work := filepath.Join(again, intake.UnfinishedDir)
	must(t, os.MkdirAll(work, 0o700))
	must(t, os.WriteFile(filepath.Join(work, ".netagauge-417.tmp"), []byte("half"), 0o600))
	_, err = back(t.Context(), p, again)
	must(t, err)
	equal(t, dir, again)
}

// Killed again and again at any moment, a move comes to its end, there and back, and
// both are equal.
func TestKilledAgainAndAgain(t *testing.T) {
	kills := 50
	dir := kitchen(t, 150)
	p := postgrestest.Start(t)
	schema := p.Schema(t)
	address := s3test.Address(s3test.StartFake(t).URL, "k")
	again := filepath.Join(t.TempDir(), "again")
	killed := 0
	for _, way := range []struct{ kind, dir string }{{"there", dir}, {"back", again}} {
		for n := 0; ; n++ {
			c := exec.Command(os.Args[0])
			var said bytes.Buffer
			c.Stdout, c.Stderr = &said, &said
			c.Env = append(os.Environ(), inside+"="+way.kind, "MOVE_SERVER="+p.URL(), "MOVE_SCHEMA="+schema, "MOVE_PHOTOS="+address, "MOVE_DIR="+way.dir)
			must(t, c.Start())
			if n < kills/2 {
				time.AfterFunc(time.Duration(20+rand.N(40*(n+1)))*time.Millisecond, func() { c.Process.Kill() })
			}
			err := c.Wait()
			if err == nil {
				t.Logf("%s: done after %d kills", way.kind, n)
				break
			}
			if n > 0 && strings.Contains(said.String(), "holds something else already") {
				t.Logf("%s: the process killed before had ended the move", way.kind)
				break
			}
			if said.Len() > 0 || n >= kills/2 {
				t.Fatalf("%s, process %d: %v: %s", way.kind, n, err, &said)
			}
			killed++
		}
	}
	if killed < 10 {
		t.Errorf("only %d were killed before the end", killed)
	}
	equal(t, dir, again)
}

// What came into the folder after a move into it was stopped is not written over.
func TestNothingWrittenOver(t *testing.T) {
	dir := t.TempDir()
	work := filepath.Join(dir, intake.UnfinishedDir)
	must(t, os.Mkdir(work, 0o700))
	for path, text := range map[string]string{filepath.Join(work, movingFile): "from", filepath.Join(work, "book.sqlite"): "moved", filepath.Join(dir, "book.sqlite"): "theirs"} {
		must(t, os.WriteFile(path, []byte(text), 0o600))
	}
	if err := (&Target{Side: &Side{Record: Kitchen}, from: "from"}).settled(dir, work); !errors.Is(err, ErrTaken) {
		t.Errorf("it is %v", err)
	}
	if text, err := os.ReadFile(filepath.Join(dir, "book.sqlite")); err != nil || string(text) != "theirs" {
		t.Errorf("what was there is %q, %v", text, err)
	}
}

// Somebody writes between the copying and the comparing: a move fails, and what is read
// of a record in use is all as of the moment before.
func TestOfARecordInUse(t *testing.T) {
	dir := kitchen(t, 6)
	p := newPair(t)
	_, err := there(t.Context(), dir, p)
	must(t, err)
	before, err := Kitchen.FromUse(t.Context(), p.at, p.name, p.store, nil)
	must(t, err)
	defer before.Close()
	inUse := func(beside *Side) func(context.Context, database.Place, string, photos.Store) (*Side, error) {
		return func(ctx context.Context, at database.Place, name string, store photos.Store) (*Side, error) {
			return Kitchen.FromUse(ctx, at, name, store, beside)
		}
	}
	for _, c := range []struct {
		name  string
		open  func(context.Context, database.Place, string, photos.Store) (*Side, error)
		fails bool
	}{{"use", inUse(nil), false}, {"of the moment of another", inUse(before), false}, {"move", Kitchen.FromShared, true}} {
		from, err := c.open(t.Context(), p.at, p.name, p.store)
		must(t, err)
		defer from.Close()
		again := filepath.Join(t.TempDir(), "again")
		to, err := Kitchen.ToFolder(t.Context(), again, p.name)
		must(t, err)
		defer to.Close()
		var once sync.Once
		_, err = Run(t.Context(), from, to, nil, func(c Count) {
			if c.Photos == 0 {
				return
			}
			once.Do(func() {
				db, err := database.Raw(p.at)
				must(t, err)
				defer db.Close()
				for _, s := range []string{`UPDATE setting SET content = content || 'x'`, `UPDATE shot SET who = who || 'x'`, `DELETE FROM passcode`} {
					_, err := db.ExecContext(t.Context(), s)
					must(t, err)
				}
			})
		})
		switch {
		case c.fails && (err == nil || !strings.Contains(err.Error(), "not the same")):
			t.Errorf("%s: %v", c.name, err)
		case !c.fails:
			must(t, err)
			equal(t, dir, again)
		}
	}
}

// What sites share goes over, and nobody can open a site before all are there, wherever
// the end is stopped.
func TestTogether(t *testing.T) {
	ctx, shared, p := t.Context(), t.TempDir(), newPair(t)
	o, err := organisation.Open(ctx, database.File(filepath.Join(shared, organisation.File)))
	must(t, err)
	must(t, o.Add(ctx, organisation.Site{Name: "kyoto", Titles: map[string]string{"ja": "京都"}}))
	must(t, o.Close())
	own := p.server.Schema(postgrestest.Start(t).Schema(t))
	opens := func() error {
		texts, err := settings.OpenAt(ctx, p.at)
		if err == nil {
			err = texts.Close()
		}
		return err
	}
	dir := kitchen(t, 1)
	move := func() (moved bool, err error) { return moveTogether(t, shared, dir, own, p) }
	if _, err := move(); !errors.Is(err, fs.ErrClosed) || !errors.Is(opens(), settings.ErrMoving) {
		t.Errorf("stopped before all is there: %v, %v", err, opens())
	}
	texts, err := settings.OpenUnfinished(ctx, own)
	must(t, err)
	defer texts.Close()
	must(t, texts.BeginMoving(ctx, shared+allThere))
	if moved, err := move(); err != nil || moved || opens() != nil {
		t.Errorf("stopped after that: moved anew: %v, %v, %v", moved, err, opens())
	}
	o, err = organisation.Open(ctx, own)
	must(t, err)
	defer o.Close()
	if all, err := o.Sites(ctx); err != nil || len(all) != 1 || all[0].Title("ja") != "京都" {
		t.Errorf("%+v, %v", all, err)
	}
	if from, err := texts.Moving(ctx); err != nil || from != "" {
		t.Errorf("it is still moved: %q, %v", from, err)
	}
}

// moveTogether moves what is shared and a kitchen up to where it is stopped, unless all
// was there, and says whether.
func moveTogether(t *testing.T, shared, dir string, own database.Place, p pair) (moved bool, err error) {
	t.Helper()
	from, err := Organisation.FromFolder(shared)
	must(t, err)
	defer from.Close()
	to, err := Organisation.ToShared(t.Context(), own, "own", nil, shared)
	must(t, err)
	defer to.Close()
	to.With([]database.Place{p.at})
	_, err = Run(t.Context(), from, to, func(ctx context.Context) error {
		moved = true
		site, err := Kitchen.FromFolder(dir)
		must(t, err)
		defer site.Close()
		held, err := Kitchen.ToShared(ctx, p.at, p.name, p.store, "a kitchen")
		must(t, err)
		defer held.Close()
		held.Hold()
		_, err = Run(ctx, site, held, nil, nil)
		must(t, err)
		return fs.ErrClosed
	}, nil)
	return moved, err
}
