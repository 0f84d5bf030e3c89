// Package intake is the data folder of a kitchen: photos as they came, but for
// the place where they were taken; the list of them, with what was entered and
// how far each is; and the record book. A photo counts as received once it is on
// the disk and in the list; from then on it is measured exactly once for what
// was asked of it, whatever stops the program in between. It measures nothing
// and shows nothing, opens no connection, never decodes a pixel, and deletes a photo
// only with everything of its sender (Remove).
//
// The folder holds
//
//	intake.sqlite  sessions and shots; migrations/*.sql documents the tables
//	book.sqlite    results, as package book keeps them
//	photos/        one file a photo, named by its ID
//	unclaimed/     photos whose sender was never told "received"
//	tmp/           what is just arriving; emptied on opening
//	…              accounts and settings, each a file
//	lock           held by the one server that has the folder open
//
// A server does
//
//	f, err := intake.Open(ctx, dir, program)
//	err = f.SetSession(ctx, intake.Session{Kind: intake.Class, Name: "Monday", HeldOn: day, Ticket: ticket})
//	shot, err := f.Receive(ctx, intake.Shot{Owner: id, Who: name, Kind: intake.Class, Session: "Monday", Ticket: ticket}, body)
//	go worker.Run(ctx, f, pool)
//	for range f.Watch(ctx) { shot, err = f.Shot(ctx, shot.ID) … }
//	report, err := f.Book().Report(ctx, shot.Result)
//	run, err := f.Run(ctx, intake.Class, "Monday") // for board.Load
//
// Whoever holds an ID may not see the shot for that: compare Owner.
package intake

import (
	"cmp"
	"context"
	"embed"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"sync"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/notify"
	"netagauge/internal/keep/photos"
	"netagauge/internal/see/photo"
)

//go:embed migrations
var migrations embed.FS

// Limits on what is taken in.
type Limits struct {
	Waiting int   // shots that wait or are arriving; beyond, Receive says ErrBusy
	Each    int   // of these, one owner's
	Bytes   int64 // of one photo
	Free    int64 // bytes left on the disk, so that results can still be kept
}

// usual limits: 200 photos wait for some minutes on two cores.
var usual = Limits{Waiting: 200, Each: 40, Bytes: photo.MaxBytes, Free: 100 << 20}

// Folder is an open data folder. Its methods may be called from several
// goroutines.
type Folder struct {
	// Limits may be changed before the first Receive.
	Limits Limits
	// Taken, if it is there, hears of each photo that was taken in, by its bytes.
	Taken func(bytes int64)

	dir     string
	program string
	db      *database.DB // the list
	book    *book.Book
	photos  photos.Store
	lock    *os.File
	found   Found
	changes notify.Here
	peers   *Peers // nil where no other process has the list
	deaf    func() // ends the hearing of peers

	room   sync.Mutex
	coming map[string]int // photos that are arriving in this process, by owner
	turns  turns

	settling settling
}

// Found says what a stopped server left behind and Open put right.
type Found struct {
	Interrupted int // shots that were being measured and wait again
	Unclaimed   int // photos moved to unclaimed/, see recover
	Missing     int // shots that wait and whose photo is gone; they have failed
}

// Open opens the data folder dir, makes it when there is none, and puts right
// what a stopped server left. The program is the version whose results are kept.
// Only one Folder at a time may have a folder open: ErrInUse.
func Open(ctx context.Context, dir, program string) (*Folder, error) {
	f := &Folder{Limits: usual, dir: dir, program: program, coming: map[string]int{}}
	if err := f.open(ctx); err != nil {
		f.Close()
		return nil, phrase.Because(database.Plain(err), "in-folder", dir)
	}
	return f, nil
}

func (f *Folder) open(ctx context.Context) (err error) {
	if _, err := os.Stat(filepath.Join(f.dir, UnfinishedDir)); err == nil {
		return ErrUnfinished
	}
	if err := os.MkdirAll(filepath.Join(f.dir, TmpDir), 0o700); err != nil {
		return err
	}
	if f.photos, err = photos.InFolder(filepath.Join(f.dir, PhotosDir), filepath.Join(f.dir, unclaimedDir)); err != nil {
		return err
	}
	if err := atomicfile.Sync(f.dir); err != nil { // the folders themselves must last, too
		return err
	}
	_ = atomicfile.Sync(filepath.Dir(f.dir)) // which need not be readable
	if f.lock, err = atomicfile.Lock(filepath.Join(f.dir, LockFile)); errors.Is(err, atomicfile.ErrHeld) {
		return ErrInUse
	} else if err != nil {
		return err
	}
	if err := f.whole(ctx); err != nil {
		return err
	}
	if err := f.shut(); err != nil {
		return err
	}
	if f.db, err = database.Open(ctx, database.File(filepath.Join(f.dir, ListFile)), list); err != nil {
		return err
	}
	if err := f.hasBook(ctx); err != nil {
		return err
	}
	if f.book, err = book.Open(ctx, filepath.Join(f.dir, BookFile)); err != nil {
		return err
	}
	return f.recover(ctx)
}

var list = database.Part{Name: "intake", Migrations: migrations, Readers: readers}

// whole refuses a folder without its list where photos or results are: a new list
// would own none of them.
func (f *Folder) whole(ctx context.Context) error {
	if f.size(ListFile) > 0 {
		return nil
	}
	for _, err := range f.photos.List(ctx, "") {
		return cmp.Or(err, error(ErrNoList))
	}
	if f.size(BookFile) > 0 {
		return ErrNoList
	}
	return nil
}

// hasBook refuses a folder whose list speaks of results when the book is gone.
func (f *Folder) hasBook(ctx context.Context) error {
	if f.size(BookFile) > 0 {
		return nil
	}
	var measured int
	err := f.db.QueryRowContext(ctx, `SELECT count(*) FROM shot WHERE result <> 0`).Scan(&measured)
	if err == nil && measured > 0 {
		return ErrNoBook
	}
	return err
}

// size is how many bytes a file of the folder has; none when it is not there.
func (f *Folder) size(name string) int64 {
	info, err := os.Stat(filepath.Join(f.dir, name))
	if err != nil {
		return 0
	}
	return info.Size()
}

// shut lets only the owner read the files of a folder that an earlier program made.
func (f *Folder) shut() error {
	files, err := os.ReadDir(f.dir)
	if err != nil {
		return err
	}
	for _, e := range files {
		if !e.Type().IsRegular() {
			continue
		}
		if info, err := e.Info(); err != nil || info.Mode().Perm()&0o077 == 0 {
			continue
		}
		if err := os.Chmod(filepath.Join(f.dir, e.Name()), 0o600); err != nil && !errors.Is(err, fs.ErrPermission) {
			return err // another's file stays as it is
		}
	}
	return nil
}

// Close gives the folder back. What waits goes on with the next Open.
func (f *Folder) Close() error {
	var first error
	keep := func(err error) {
		if first == nil {
			first = err
		}
	}
	if f.deaf != nil {
		f.deaf()
	}
	if f.book != nil {
		keep(f.book.Close())
	}
	if f.db != nil {
		keep(f.db.Close())
	}
	if f.lock != nil {
		keep(f.lock.Close()) // which lets go of it
	}
	if f.peers != nil {
		keep(os.RemoveAll(f.dir))
	}
	return first
}

// Book is the record book in the folder; Close closes it.
func (f *Folder) Book() *book.Book { return f.book }

// Program is the version whose results are kept.
func (f *Folder) Program() string { return f.program }

// Dir is the folder's path.
func (f *Folder) Dir() string { return f.dir }

// Found is what Open put right.
func (f *Folder) Found() Found { return f.found }

// OpenPhoto opens a shot's photo as it came, but for the place where it was
// taken. It holds whatever else the phone wrote into it: it is for measuring, and
// not to be shown or handed on, but to whoever sent it.
func (f *Folder) OpenPhoto(ctx context.Context, s Shot) (*os.File, error) {
	return f.photos.Open(ctx, s.file())
}

// readers is how many look at the list at once.
const readers = 8
