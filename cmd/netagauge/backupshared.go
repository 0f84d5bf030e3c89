package main

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"syscall"

	"netagauge/internal/command"
	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/backup"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/move"
	"netagauge/internal/keep/organisation"
)

// A backup of a shared place is that of a data folder to which the place was moved as of
// one moment, so there is one format and either restores into either. Of several sites it
// is that of one folder after the other, all as of one moment, and of what they share.

func (p copied) backup(ctx context.Context, to *command.Caller, w io.Writer) error {
	if p.data != "" {
		return backup.Write(ctx, p.data, w)
	}
	beside := filepath.Dir(p.file)
	if st, err := os.Stat(p.file); p.file == command.Dash || err == nil && !st.Mode().IsRegular() {
		beside = "" // the system's
	}
	return inPassing(beside, func(dir string) (err error) {
		g := gathering{mover: &mover{Caller: to}, place: p.shared, dir: dir}
		defer func() { err = errors.Join(err, g.Close()) }()
		return g.backup(ctx, w)
	})
}

// gathering brings records in use from a shared place into folders, one after another, and
// packs them.
type gathering struct {
	*mover
	place sharedPlace
	dir   string
}

func (g gathering) backup(ctx context.Context, w io.Writer) error {
	at, name, store, err := g.at(ctx, g.place, kitchenAlone)
	if err != nil {
		return err
	}
	if sites, err := g.shared.sites(ctx); err != nil {
		return err
	} else if sites != nil {
		return g.several(ctx, w)
	}
	from, err := move.Kitchen.FromUse(ctx, at, name, store, nil)
	if err != nil {
		return err
	}
	g.open = append(g.open, from)
	return g.through(ctx, from, move.Kitchen, func(dir string) error { return backup.Write(ctx, dir, w) })
}

func (g gathering) several(ctx context.Context, w io.Writer) error {
	own, err := move.Organisation.FromUse(ctx, g.shared.server.Schema(organisationSchema), organisationSchema, nil, nil)
	if err != nil {
		return err
	}
	g.open = append(g.open, own) // whose moment is that of all
	out := backup.PackSeveral(w)
	var all []organisation.Site
	err = g.through(ctx, own, move.Organisation, func(dir string) (err error) {
		if all, err = backup.Sites(ctx, dir); err != nil {
			return err
		}
		return out.Organisation(ctx, dir)
	})
	if err != nil {
		return err
	}
	for _, s := range all {
		at, name, store, err := g.at(ctx, g.place, s.Name)
		if err != nil {
			return err
		}
		from, err := move.Kitchen.FromUse(ctx, at, name, store, own)
		if errors.Is(err, move.ErrNone) { // nobody has opened it yet
			continue
		}
		if err == nil {
			err = g.through(ctx, from, move.Kitchen, func(dir string) error { return out.Site(ctx, s.Name, dir) })
			err = errors.Join(err, from.Close())
		}
		if err != nil {
			return phrase.At(s.Name, err)
		}
	}
	return out.Close()
}

// through brings a record into a folder of its own, which is gone once it is packed.
func (g gathering) through(ctx context.Context, from *move.Side, is move.Record, pack func(dir string) error) error {
	return inPassing(g.dir, func(dir string) (err error) {
		all, err := from.Count(ctx)
		if err != nil {
			return err
		}
		tables, err := from.Room(ctx)
		if err != nil {
			return err
		}
		if err := room(dir, 3*tables+2*all.Bytes); err != nil { // gathered, copied, packed
			return err
		}
		to, err := is.ToFolder(ctx, dir, from.Name())
		if err != nil {
			return err
		}
		defer func() { err = errors.Join(err, to.Close()) }()
		if err := g.run(ctx, from, to, nil, all); err != nil {
			return err
		}
		return pack(dir)
	})
}

func (p copied) restore(ctx context.Context, to *command.Caller, in io.Reader) error {
	if p.data != "" {
		return backup.Restore(ctx, in, p.data, accountsOpen)
	}
	return inPassing("", func(dir string) (err error) {
		if st, err := os.Stat(p.file); p.file != command.Dash && err == nil {
			if err := room(dir, st.Size()); err != nil { // photos do not pack
				return err
			}
		}
		sites, err := backup.RestoreAny(ctx, in, dir, accountsOpen)
		if err != nil {
			return err
		}
		s := spreading{mover: &mover{Caller: to}, place: p.shared, name: p.file} // by which a restore that was stopped is known again
		defer func() { err = errors.Join(err, s.Close()) }()
		if s.name != command.Dash {
			if s.name, err = filepath.Abs(s.name); err != nil {
				return err
			}
		}
		if len(sites) > 0 {
			return s.several(ctx, dir, sites)
		}
		return s.site(ctx, dir, kitchenAlone, false)
	})
}

// spreading brings folders into an empty shared place.
type spreading struct {
	*mover
	place sharedPlace
	name  string
}

// site brings one's record; held, it stays closed.
func (s spreading) site(ctx context.Context, dir, site string, held bool) error {
	from, err := move.Kitchen.FromFolder(dir)
	if err != nil {
		return err
	}
	s.open = append(s.open, from)
	at, name, store, err := s.at(ctx, s.place, site)
	if err != nil {
		return err
	}
	to, err := move.Kitchen.ToShared(ctx, at, name, store, s.name)
	if err != nil {
		return err
	}
	s.open = append(s.open, to)
	if held {
		to.Hold()
	}
	all, err := from.Count(ctx)
	if err != nil {
		return err
	}
	return s.run(ctx, from, to, s.enqueue(site), all)
}

// several brings what sites share, then each of them; nobody can open any before all are
// there.
func (s spreading) several(ctx context.Context, dir string, sites []string) error {
	from, err := move.Organisation.FromFolder(dir)
	if err != nil {
		return err
	}
	s.open = append(s.open, from)
	var places []database.Place
	for _, name := range sites {
		at, _, _, err := s.at(ctx, s.place, name)
		if err != nil {
			return err
		}
		places = append(places, at)
	}
	to, err := move.Organisation.ToShared(ctx, s.shared.server.Schema(organisationSchema), organisationSchema, nil, s.name)
	if err != nil {
		return err
	}
	s.open = append(s.open, to)
	to.With(places)
	return s.run(ctx, from, to, func(ctx context.Context) error {
		for _, name := range sites {
			if err := s.site(ctx, backup.At(dir, name), name, true); err != nil {
				return phrase.At(name, err)
			}
		}
		return nil
	}, move.Count{})
}

// inPassing gives an empty folder that is gone afterwards.
func inPassing(beside string, do func(dir string) error) (err error) {
	dir, err := os.MkdirTemp(beside, "netagauge-copy-")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	return do(dir)
}

// room refuses a disk that has less than so many bytes.
func room(dir string, bytes int64) error {
	var disk syscall.Statfs_t
	if err := syscall.Statfs(dir, &disk); err != nil {
		return err
	}
	if free := int64(disk.Bavail) * disk.Bsize; free < bytes {
		return phrase.Wrong("copy-room", filepath.Dir(dir), float64(bytes)/1e6, float64(free)/1e6)
	}
	return nil
}
