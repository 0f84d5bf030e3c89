package database

import (
	"errors"
	"io/fs"
	"syscall"

	"netagauge/internal/core/phrase"

	"github.com/mattn/go-sqlite3"
)

// What may be wrong with the disk, a file on it or a database, with what to do; the
// causes come wrapped in them.
var (
	ErrFull     = phrase.Wrong("system-full")
	ErrReadOnly = phrase.Wrong("system-read-only")
	ErrLocked   = phrase.Wrong("file-locked")
	ErrDamaged  = phrase.Wrong("file-damaged")

	ErrAway     = phrase.Wrong("database-away")
	ErrBusy     = phrase.Wrong("database-busy")
	ErrStandby  = phrase.Wrong("database-standby")
	ErrUnsure   = phrase.Wrong("database-unsure")
	ErrPassword = phrase.Wrong("database-password")
	ErrNone     = phrase.Wrong("database-none")
	ErrRights   = phrase.Wrong("database-rights")
	ErrLong     = phrase.Wrong("database-long")
)

// Plain turns the words of the system, of SQLite and of PostgreSQL into what a person can act on.
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
	if s := serverSentence(err); s != nil {
		return s
	}
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT), errors.Is(err, syscall.EFBIG):
		return ErrFull
	case errors.Is(err, syscall.EROFS), errors.Is(err, fs.ErrPermission):
		return ErrReadOnly
	case lite.Code == sqlite3.ErrIoErr: // the disk or the file ends where there should be more
		return ErrDamaged
	}
	return nil
}

// serverSentence is for what PostgreSQL says (its manual, appendix A: error codes), and
// for what keeps us from hearing it.
func serverSentence(err error) *phrase.Error {
	switch {
	case is(err, "28"):
		return ErrPassword
	case is(err, "3D000"):
		return ErrNone
	case is(err, "42501"):
		return ErrRights
	case is(err, "53100"):
		return ErrFull
	case is(err, "54000"):
		return ErrLong
	case is(err, "25006"):
		return ErrStandby
	case collided(err), is(err, "55P03", "57014"):
		return ErrBusy
	case is(err, "XX001", "XX002"):
		return ErrDamaged
	case lost(err):
		return ErrAway
	}
	return nil
}
