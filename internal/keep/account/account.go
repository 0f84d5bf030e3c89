// Package account says who may open which page: passcodes of instructors and
// chefs, trainees' own links, the class code, and the sessions of signed-in
// browsers. It is one SQLite file, which keeps secrets only in a form they can
// be checked against. It serves no page and knows no photo.
package account

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"database/sql"
	"embed"
	"encoding/base64"
	"errors"
	"fmt"
	"sync"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/sqlite"
)

//go:embed migrations/*.sql
var migrations embed.FS

// Role is what a signed-in person may do.
type Role string

const (
	Trainee    Role = "trainee"
	Instructor Role = "instructor"
	Chef       Role = "chef"
)

// Accounts is the open file. Its methods may be called from several goroutines.
type Accounts struct {
	db      *sql.DB
	hashing chan struct{} // a place for each passcode that may be hashed at once
	joining sync.Mutex    // names are taken one after another
	now     func() time.Time
}

// Open opens the accounts at path and creates them when there are none.
func Open(ctx context.Context, path string) (*Accounts, error) {
	db, err := sqlite.Open(path)
	if err != nil {
		return nil, phrase.Because(err, "in-accounts", path)
	}
	db.SetMaxOpenConns(1)
	if err := sqlite.Migrate(ctx, db, migrations); err != nil {
		db.Close()
		return nil, phrase.Because(sqlite.Plain(err), "in-accounts", path)
	}
	return &Accounts{db: db, hashing: make(chan struct{}, atOnce), now: time.Now}, nil
}

// Close closes the file.
func (a *Accounts) Close() error { return a.db.Close() }

func (a *Accounts) fail(what string, err error) error {
	if err == nil || errors.Is(err, context.Canceled) {
		return err
	}
	return fmt.Errorf("%s: %w", what, sqlite.Plain(err))
}

// secret is 256 random bits as text that fits into a link or a cookie.
func secret() string {
	var b [32]byte
	rand.Read(b[:]) // never fails: crypto/rand ends the program instead
	return base64.RawURLEncoding.EncodeToString(b[:])
}

// digest is what is kept of a secret. A secret of 256 random bits needs no slow
// hash: it cannot be tried out.
func digest(secret string) []byte {
	sum := sha256.Sum256([]byte(secret))
	return sum[:]
}
