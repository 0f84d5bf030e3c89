package intake

import (
	"context"
	"database/sql"
	"time"

	"netagauge/internal/keep/database"
	"netagauge/internal/keep/keeping"
)

// Due is what the dates of keeping delete at a moment, and what of that age they leave.
type Due struct {
	Photos int
	Bytes  int64
	Oldest time.Time // of those photos; zero for none
	Kept   int       // old enough, and left: somebody spoke about them, or a class is held against them
	Waits  int       // old enough, and left until they are measured
	People []string  // whose last tray is that long ago

	numbers []int64
}

// Any reports whether there is anything to delete.
func (d Due) Any() bool { return d.Photos > 0 || len(d.People) > 0 }

// Due looks at what is due by the rules at a moment. It deletes nothing.
func (f *Folder) Due(ctx context.Context, r keeping.Rules, now time.Time) (d Due, err error) {
	left, err := f.book.Spoken(ctx)
	if err != nil {
		return d, err
	}
	for _, of := range []struct {
		kinds  string
		before time.Time
	}{{`kind <> 'exam'`, r.PhotosBefore(now)}, {`kind = 'exam'`, r.ExamsBefore(now)}} {
		if of.before.IsZero() {
			continue
		}
		if err := f.duePhotos(ctx, of.kinds, of.before, left, &d); err != nil {
			return d, f.fail("look for photos that are due", err)
		}
	}
	if before := r.PeopleBefore(now); !before.IsZero() {
		d.People, err = f.gone(ctx, before)
	}
	return d, f.fail("look for people whose time is over", err)
}

// duePhotos adds the trays received before a moment whose photos are there.
func (f *Folder) duePhotos(ctx context.Context, kinds string, before time.Time, left map[string]bool, d *Due) error {
	return database.Every(func(scan database.Row) error {
		var number, bytes int64
		var id, hash, received string
		var state State
		if err := scan(&number, &id, &hash, &received, &state, &bytes); err != nil {
			return err
		}
		switch {
		case state == Waiting || state == Measuring:
			d.Waits++
			return nil
		case left[hash] || left[id]:
			d.Kept++
			return nil
		}
		at, err := time.Parse(time.RFC3339Nano, received)
		if err != nil {
			return err
		}
		if d.Oldest.IsZero() || at.Before(d.Oldest) {
			d.Oldest = at
		}
		d.Photos, d.Bytes, d.numbers = d.Photos+1, d.Bytes+bytes, append(d.numbers, number)
		return nil
	})(f.db.QueryContext(ctx, `SELECT number, id, hash, received, state, bytes + coalesce((SELECT sum(b.bytes) FROM second b WHERE b.shot = shot.number), 0)
		FROM shot WHERE `+kinds+` AND dropped = '' AND received < $1 ORDER BY number`, before.UTC().Format(time.RFC3339Nano)))
}

// gone are the trainees whose last tray came before a moment.
func (f *Folder) gone(ctx context.Context, before time.Time) (names []string, err error) {
	own := traineeOwner("")
	names, err = database.All[string](f.db.QueryContext(ctx, `SELECT owner FROM shot WHERE substr(owner, 1, $1) = $2 GROUP BY owner HAVING max(received) < $3 ORDER BY owner`,
		len(own), own, before.UTC().Format(time.RFC3339Nano)))
	for i := range names {
		names[i] = names[i][len(own):]
	}
	return names, err
}

// Drop deletes the photos that Due found; their results stay. A tray says first that its
// photo is being dropped, unless it waits by now, and then that it is, so that it may be
// stopped at any moment and by any number of processes at once: what was begun is
// finished first. It gives how many were dropped.
func (f *Folder) Drop(ctx context.Context, d Due) (n int, err error) {
	if err := f.finishDrops(ctx); err != nil {
		return 0, f.fail("drop photos", err)
	}
	for _, number := range d.numbers {
		if err := ctx.Err(); err != nil {
			return n, err
		}
		done, err := f.db.ExecContext(ctx, `UPDATE shot SET dropped = $1 WHERE number = $2 AND dropped = '' AND state NOT IN ('waiting', 'measuring')`,
			dropping+time.Now().UTC().Format(time.RFC3339), number)
		if err != nil {
			return n, f.fail("drop a photo", err)
		}
		if got, err := done.RowsAffected(); err != nil || got == 0 {
			continue // it waits again, or another process has it
		}
		if err := f.dropPhotos(ctx, number); err != nil {
			return n, f.fail("drop a photo", err)
		}
		n++
	}
	if n > 0 {
		f.tell()
	}
	return n, nil
}

// dropping stands before the time while a file may still be there.
const dropping = "-"

// finishDrops goes on where a stopped program left off.
func (f *Folder) finishDrops(ctx context.Context) error {
	begun, err := database.All[int64](f.db.QueryContext(ctx, `SELECT number FROM shot WHERE dropped >= '-' AND dropped < '0'`))
	if err != nil {
		return err
	}
	for _, number := range begun {
		if err := f.dropPhotos(ctx, number); err != nil {
			return err
		}
	}
	return nil
}

// dropPhotos deletes the files of a tray that is being dropped, and then says so.
func (f *Folder) dropPhotos(ctx context.Context, number int64) error {
	names, err := database.All[string](f.db.QueryContext(ctx, `SELECT id || '.' || format FROM shot WHERE number = $1 UNION ALL SELECT id || '.' || format FROM second WHERE shot = $1`, number))
	if err != nil {
		return err
	}
	for _, name := range names {
		if err := f.photos.Delete(ctx, name); err != nil {
			return err
		}
	}
	return f.db.In(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, `UPDATE second SET dropped = (SELECT substr(dropped, 2) FROM shot WHERE number = $1) WHERE shot = $1 AND dropped = ''`, number); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `UPDATE shot SET dropped = substr(dropped, 2) WHERE number = $1 AND dropped >= '-' AND dropped < '0'`, number)
		return err
	})
}
