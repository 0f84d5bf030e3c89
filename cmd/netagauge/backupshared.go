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
	"netagauge/internal/keep/move"
)

// A backup of a shared place is that of a data folder to which the place was moved as of
// one moment, so there is one format and either restores into either.

func (p copied) backup(ctx context.Context, to *command.Caller, w io.Writer) error {
	if p.data != "" {
		return backup.Write(ctx, p.data, w)
	}
	beside := filepath.Dir(p.file)
	if st, err := os.Stat(p.file); p.file == command.Dash || err == nil && !st.Mode().IsRegular() {
		beside = "" // the system's
	}
	return inPassing(beside, func(dir string) error {
		if err := p.gather(ctx, to, dir); err != nil {
			return err
		}
		return backup.Write(ctx, dir, w)
	})
}

// gather brings the shared place into an empty folder.
func (p copied) gather(ctx context.Context, to *command.Caller, dir string) (err error) {
	m := &mover{Caller: to}
	defer func() { err = errors.Join(err, m.Close()) }()
	at, name, store, err := m.at(ctx, p.shared)
	if err != nil {
		return err
	}
	from, err := move.FromUse(ctx, at, name, store)
	if err != nil {
		return err
	}
	m.open = append(m.open, from)
	if g, err := m.shared.sites(ctx); err != nil {
		return err
	} else if g != nil {
		return phrase.Wrong("copy-sites")
	}
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
	return m.bring(ctx, from, movePlace{folder: dir}, name, all)
}

func (p copied) restore(ctx context.Context, to *command.Caller, in io.Reader) error {
	if p.data != "" {
		return backup.Restore(ctx, in, p.data, accountsOpen)
	}
	return inPassing("", func(dir string) error {
		if st, err := os.Stat(p.file); p.file != command.Dash && err == nil {
			if err := room(dir, st.Size()); err != nil { // photos do not pack
				return err
			}
		}
		if err := backup.Restore(ctx, in, dir, accountsOpen); err != nil {
			return err
		}
		return p.spread(ctx, to, dir)
	})
}

// spread brings a folder into the empty shared place.
func (p copied) spread(ctx context.Context, to *command.Caller, dir string) (err error) {
	m := &mover{Caller: to}
	defer func() { err = errors.Join(err, m.Close()) }()
	from, err := m.from(ctx, movePlace{folder: dir})
	if err != nil {
		return err
	}
	all, err := from.Count(ctx)
	if err != nil {
		return err
	}
	name := p.file // by which a restore that was stopped is known again
	if name != command.Dash {
		if name, err = filepath.Abs(name); err != nil {
			return err
		}
	}
	return m.bring(ctx, from, movePlace{sharedPlace: p.shared}, name, all)
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
