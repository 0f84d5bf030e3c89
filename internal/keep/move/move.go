// Package move brings a whole record from one kind of place to the other: a data folder,
// or a schema of PostgreSQL with a bucket for photos. What is moved stays as it is, and
// is read only. Stopped at any moment, the same move goes on: what was brought is in the
// target, rows in the order of their keys and photos whole, and until all is there and
// compared nobody can open it. It knows tables by the names of their columns alone.
package move

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"os"
	"strings"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/photos"
	"netagauge/internal/keep/settings"
)

// Count is how much there is, or has been moved.
type Count struct {
	Rows, Photos, Bytes int64 // bytes of the photos
	Absent              int64 // photos of the list that are not there any more
}

// photo is one that the list speaks of.
type photo struct {
	number int64
	name   string
	bytes  int64
	hash   string
}

// list are the photos of the shots, first and second ones.
func (s *Side) list(ctx context.Context) (out []photo, err error) {
	if !s.hasPhotos {
		return nil, nil
	}
	rows, err := s.look("intake").QueryContext(ctx, `SELECT number, id || '.' || format, bytes, hash FROM shot WHERE dropped = ''
		UNION ALL SELECT shot, id || '.' || format, bytes, hash FROM second WHERE dropped = ''`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var p photo
		if err := rows.Scan(&p.number, &p.name, &p.bytes, &p.hash); err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, rows.Err()
}

// Count says what a record has; it looks at no photo.
func (s *Side) Count(ctx context.Context) (c Count, err error) {
	for part := range s.tables {
		db := s.look(part)
		tables, err := s.names(ctx, db)
		if err != nil {
			return c, err
		}
		for _, name := range tables {
			var n int64
			if err := db.QueryRowContext(ctx, `SELECT count(*) FROM "`+name+`"`).Scan(&n); err != nil {
				return c, err
			}
			c.Rows += n
		}
		if s.shared {
			break // one schema has all
		}
	}
	all, err := s.list(ctx)
	for _, p := range all {
		c.Photos++
		c.Bytes += p.bytes
	}
	return c, err
}

func (s *Side) names(ctx context.Context, db querier) ([]string, error) {
	if s.shared {
		return texts(ctx, db, `SELECT table_name FROM information_schema.tables WHERE table_schema = current_schema()
			AND table_type = 'BASE TABLE' AND table_name NOT LIKE '%\_version' AND table_name <> 'setting'`)
	}
	return texts(ctx, db, `SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name <> 'goose_db_version'`)
}

// Run moves everything, compares it, has it made ready and lets the target be opened.
// ready may be nil, and done again changes nothing. progress, which may be nil, is told
// what has been moved so far, by several goroutines.
func Run(ctx context.Context, from *Side, to *Target, ready func(context.Context) error, progress func(Count)) (Count, error) {
	r := &run{from: from, to: to, progress: progress}
	if to.tables == nil { // it was compared before it was stopped
		return Count{}, to.end(ctx)
	}
	if from.shared == to.shared {
		return Count{}, phrase.Wrong("move-kinds")
	}
	for _, step := range []func(context.Context) error{r.versions, r.rows, r.settings, r.photos, r.compare} {
		if err := step(ctx); err != nil {
			return r.count(), err
		}
	}
	for _, db := range to.tables { // a file's log goes into the file
		if err := db.Close(); err != nil {
			return r.count(), err
		}
	}
	if ready != nil {
		if err := ready(ctx); err != nil {
			return r.count(), err
		}
	}
	return r.count(), to.end(ctx)
}

type run struct {
	from     *Side
	to       *Target
	progress func(Count)

	moved, photosMoved, bytes, absent atomic.Int64
}

func (r *run) count() Count {
	return Count{r.moved.Load(), r.photosMoved.Load(), r.bytes.Load(), r.absent.Load()}
}

func (r *run) tell() {
	if r.progress != nil {
		r.progress(r.count())
	}
}

// versions refuses tables that mean something else to this program.
func (r *run) versions(ctx context.Context) error {
	for _, p := range r.from.parts {
		if r.from.tables[p.name] == nil {
			continue
		}
		have, err := r.from.version(ctx, p.name)
		if err != nil {
			return err
		}
		ours, err := r.to.version(ctx, p.name)
		switch {
		case err != nil:
			return err
		case have > ours:
			return phrase.At(r.from.name, phrase.Wrong("file-newer", have, ours))
		case have < ours:
			return phrase.At(r.from.name, phrase.Wrong("move-older"))
		}
	}
	return nil
}

// each calls f for every table of every part that there is, in order.
func (r *run) each(ctx context.Context, f func(t table, from querier, to *sql.DB) error) error {
	for _, p := range r.from.parts {
		if r.from.tables[p.name] == nil {
			continue
		}
		from, to := r.from.look(p.name), r.to.tables[p.name]
		lite := from
		if r.from.shared {
			lite = to
		}
		tables, err := tablesOf(ctx, lite)
		if err != nil {
			return err
		}
		for _, t := range tables {
			if err := f(t, from, to); err != nil {
				return err
			}
		}
	}
	return nil
}

func (r *run) rows(ctx context.Context) error {
	return r.each(ctx, func(t table, from querier, to *sql.DB) error {
		err := t.copy(ctx, from, to, func(n int) {
			r.moved.Add(int64(n))
			r.tell()
		})
		if err == nil && t.counts != "" {
			err = r.numbers(ctx, t, from, to)
		}
		if err != nil {
			return phrase.At(t.name, err)
		}
		return nil
	})
}

// numbers lets the target count on from where the source is, also over rows that are
// gone: a number is never given twice.
func (r *run) numbers(ctx context.Context, t table, from querier, to *sql.DB) error {
	var last int64
	if err := to.QueryRowContext(ctx, `SELECT coalesce(max("`+t.counts+`"), 0) FROM "`+t.name+`"`).Scan(&last); err != nil {
		return err
	}
	if r.from.shared {
		err := from.QueryRowContext(ctx, `SELECT coalesce(pg_sequence_last_value(pg_get_serial_sequence(quote_ident($1), $2)::regclass), 0)`, t.name, t.counts).Scan(&last)
		if err != nil || last == 0 {
			return err
		}
		// A table that is not AUTOINCREMENT has no such row, and none is made for it.
		_, err = to.ExecContext(ctx, `UPDATE sqlite_sequence SET seq = $1 WHERE name = $2`, last, t.name)
		return missingTable(err)
	}
	err := from.QueryRowContext(ctx, `SELECT max(seq, $1) FROM sqlite_sequence WHERE name = $2`, last, t.name).Scan(&last)
	if err := missingTable(err); err != nil && !errors.Is(err, sql.ErrNoRows) {
		return err
	}
	if last == 0 {
		return nil
	}
	_, err = to.ExecContext(ctx, `SELECT setval(pg_get_serial_sequence(quote_ident($1), $2)::regclass, $3)`, t.name, t.counts, last)
	return err
}

// missingTable passes over that a file has no table of the numbers that were given: none
// of its tables keeps them.
func missingTable(err error) error {
	if err != nil && strings.Contains(err.Error(), "no such table: sqlite_sequence") {
		return nil
	}
	return err
}

func (r *run) settings(ctx context.Context) error {
	for _, name := range settings.Names() {
		text, err := r.from.texts.Read(ctx, name)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err == nil {
			err = r.to.texts.Keep(ctx, name, text)
		}
		if err != nil {
			return phrase.At(name, err)
		}
	}
	return nil
}

// atOnce is how many photos are on their way: each waits for the disk or the network.
const atOnce = 8

func (r *run) photos(ctx context.Context) error {
	all, err := r.from.list(ctx)
	if err != nil || !r.to.hasPhotos {
		return err
	}
	there := map[string]bool{}
	for name, err := range r.to.photos.List(ctx, "") {
		if err != nil {
			return err
		}
		there[name] = true
	}
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(atOnce)
	for _, p := range all {
		if there[p.name] {
			r.photosMoved.Add(1)
			r.bytes.Add(p.bytes)
			continue
		}
		if ctx.Err() != nil {
			break
		}
		group.Go(func() error {
			if err := r.photo(ctx, p); err != nil {
				return phrase.Because(err, "move-photo", p.number, p.name)
			}
			r.tell()
			return nil
		})
	}
	return group.Wait()
}

// photo holds one to its hash and puts it into the target.
func (r *run) photo(ctx context.Context, p photo) error {
	in, err := r.from.photos.Open(ctx, p.name)
	if errors.Is(err, fs.ErrNotExist) {
		r.absent.Add(1)
		return nil
	}
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.CreateTemp(r.to.arriving, "arriving-*")
	if err != nil {
		return err
	}
	defer os.Remove(out.Name()) // there is none once it was put
	sum := sha256.New()
	n, err := io.Copy(io.MultiWriter(out, sum), in)
	if err := errors.Join(err, out.Close()); err != nil {
		return err
	}
	if n != p.bytes || hex.EncodeToString(sum.Sum(nil)) != p.hash {
		return photos.ErrOther
	}
	if err := r.to.photos.Put(ctx, p.name, photos.Arrived{Path: out.Name(), Bytes: n, SHA256: p.hash}); err != nil {
		return err
	}
	r.photosMoved.Add(1)
	r.bytes.Add(n)
	return nil
}

// compare holds every row and setting of the target to the source's. The photos were
// each held to their hash, and the store to what it was told of them.
func (r *run) compare(ctx context.Context) error {
	err := r.each(ctx, func(t table, from querier, to *sql.DB) error { return t.same(ctx, from, to) })
	if err != nil {
		return err
	}
	for _, name := range settings.Names() {
		a, err := settings.Text(ctx, r.from.texts, name)
		if err != nil {
			return err
		}
		b, err := settings.Text(ctx, r.to.texts, name)
		if err != nil {
			return err
		}
		if a != b {
			return phrase.Wrong("move-differs", name)
		}
	}
	return nil
}
