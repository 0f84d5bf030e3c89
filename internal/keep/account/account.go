// Package account says who may open which page: passcodes of instructors and
// chefs, trainees' own links, the class code, and the sessions of signed-in
// browsers. It keeps secrets only in a form they can
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
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
)

//go:embed migrations
var migrations embed.FS

// Role is what a signed-in person may do.
type Role string

const (
	Trainee    Role = "trainee"
	Instructor Role = "instructor"
	Chef       Role = "chef"
	Owner      Role = "owner" // of an organisation: its own accounts keep owners as instructors
)

// Accounts are open. Their methods may be called from several goroutines.
type Accounts struct {
	db      *database.DB
	hashing chan struct{} // a place for each passcode that may be hashed at once
	now     func() time.Time
	prefix  string // of every secret
}

// Open opens the accounts at path and creates them when there are none.
func Open(ctx context.Context, path string) (*Accounts, error) {
	return OpenAt(ctx, database.File(path))
}

// OpenAt is Open for any place.
func OpenAt(ctx context.Context, at database.Place) (*Accounts, error) {
	db, err := database.Open(ctx, at, database.Part{Name: "account", Migrations: migrations})
	if err != nil {
		return nil, phrase.Because(database.Plain(err), "in-accounts", at.String())
	}
	return &Accounts{db: db, hashing: make(chan struct{}, atOnce), now: time.Now}, nil
}

// Close closes them.
func (a *Accounts) Close() error { return a.db.Close() }

// in runs f in one transaction, for what the error names.
func (a *Accounts) in(ctx context.Context, what string, f func(*sql.Tx) error) error {
	return a.fail(what, a.db.In(ctx, f))
}

func (a *Accounts) fail(what string, err error) error {
	if err == nil || errors.Is(err, context.Canceled) {
		return err
	}
	return fmt.Errorf("%s: %w", what, database.Plain(err))
}

// Within has every secret begin with the name of the site that it is of, and a full
// stop. It is called before the first use.
func (a *Accounts) Within(site string) { a.prefix = site + "." }

// secret is 256 random bits as text that fits into a link or a cookie.
func (a *Accounts) secret() string {
	var b [32]byte
	rand.Read(b[:]) // never fails: crypto/rand ends the program instead
	return a.prefix + base64.RawURLEncoding.EncodeToString(b[:])
}

// digest is what is kept of a secret. A secret of 256 random bits needs no slow
// hash: it cannot be tried out.
func digest(secret string) []byte {
	sum := sha256.Sum256([]byte(secret))
	return sum[:]
}
