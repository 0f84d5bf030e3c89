package intake

import (
	"context"
	"os"
	"path/filepath"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/photos"
)

// Shared is where what a Folder keeps lies when several processes, on any number of
// computers, work on it at the same time.
type Shared struct {
	At     database.Place // of the list and the book
	Photos photos.Store
	Peers  Peers
	Tmp    string // a folder of this computer, for what is arriving; the system's when empty
}

// OpenShared opens what other processes may have open, too. What one of them leaves
// behind is nobody's to put right here: the queue hands a shot out again whose taker is
// gone.
func OpenShared(ctx context.Context, s Shared, program string) (*Folder, error) {
	dir, err := os.MkdirTemp(s.Tmp, "netagauge-")
	if err != nil {
		return nil, err
	}
	f := &Folder{Limits: usual, dir: dir, program: program, coming: map[string]int{}, photos: s.Photos, peers: &s.Peers}
	if err := f.openShared(ctx, s.At); err != nil {
		f.Close()
		return nil, phrase.Because(database.Plain(err), "in-folder", s.At.String())
	}
	return f, nil
}

func (f *Folder) openShared(ctx context.Context, at database.Place) (err error) {
	if err := os.Mkdir(filepath.Join(f.dir, TmpDir), 0o700); err != nil {
		return err
	}
	if f.db, err = database.Open(ctx, at, list); err != nil {
		return err
	}
	f.book, err = book.OpenAt(ctx, at)
	if err == nil && f.peers.News != nil {
		f.deaf = f.peers.News.Hear(f.peers.Site, f.changes.Tell)
	}
	return err
}
