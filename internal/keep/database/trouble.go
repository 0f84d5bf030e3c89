package database

import (
	"errors"
	"io/fs"
	"syscall"

	"netagauge/internal/core/phrase"

	"github.com/mattn/go-sqlite3"
)

// What may be wrong with the disk or a file on it, with what to do; the causes come
// wrapped in them.
var (
	ErrFull     = phrase.Wrong("system-full")
	ErrReadOnly = phrase.Wrong("system-read-only")
	ErrLocked   = phrase.Wrong("file-locked")
	ErrDamaged  = phrase.Wrong("file-damaged")
)

// Plain turns the words of the system and of SQLite into what a person can act on.
// What it does not know it leaves.
func Plain(err error) error {
	var known *phrase.Error
	if err == nil || errors.As(err, &known) {
		return err
	}
	if s := sentence(err); s != nil {
		return s.For(err)
	}
	return err
}

func sentence(err error) *phrase.Error {
	var lite sqlite3.Error
	if errors.As(err, &lite) {
		switch lite.Code {
		case sqlite3.ErrFull:
			return ErrFull
		case sqlite3.ErrReadonly, sqlite3.ErrPerm, sqlite3.ErrCantOpen:
			return ErrReadOnly
		case sqlite3.ErrBusy, sqlite3.ErrLocked:
			return ErrLocked
		case sqlite3.ErrCorrupt, sqlite3.ErrNotADB:
			return ErrDamaged
		}
		err = lite.SystemErrno
	}
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT), errors.Is(err, syscall.EFBIG):
		return ErrFull
	case errors.Is(err, syscall.EROFS), errors.Is(err, fs.ErrPermission):
		return ErrReadOnly
	}
	return nil
}
