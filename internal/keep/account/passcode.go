package account

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"database/sql"
	"encoding/base64"
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/crypto/argon2"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
)

// Argon2id as RFC 9106, section 4, recommends it where memory is scarce: three
// passes over 64 MiB with four lanes, a salt of 128 bits, a tag of 256.
const (
	passes    = 3
	memoryKiB = 64 << 10
	lanes     = 4
	saltBytes = 16
	tagBytes  = 32
)

// atOnce bounds how many passcodes are hashed at once, and so the memory that
// strangers at the sign-in page can take.
const atOnce = 2

// letters are those of a passcode: none that is taken for another.
const letters = "abcdefghjkmnpqrstuvwxyz23456789"

// ErrWrong is a passcode, code or link that opens nothing.
var ErrWrong = phrase.Wrong("code-wrong")

// Passcode is one person's, without the passcode itself.
type Passcode struct {
	ID   int64
	Role Role
	Name string
}

// newPasscode is 12 letters in three groups, 59 bits.
func newPasscode() string {
	groups := make([]string, 3)
	for i := range groups {
		groups[i] = random(letters, 4)
	}
	return strings.Join(groups, "-")
}

func random(from string, n int) string {
	out := make([]byte, n)
	for i := range out {
		k, err := rand.Int(rand.Reader, big.NewInt(int64(len(from))))
		if err != nil {
			panic(err) // crypto/rand does not fail
		}
		out[i] = from[k.Int64()]
	}
	return string(out)
}

// AddPasscode makes a passcode for an instructor or a chef and returns it; it is
// never shown again.
func (a *Accounts) AddPasscode(ctx context.Context, role Role, name string) (string, error) {
	name = strings.TrimSpace(name)
	if name == "" || utf8.RuneCountInString(name) > 60 || role != Instructor && role != Chef {
		return "", phrase.Wrong("code-name")
	}
	code := newPasscode()
	hash, err := a.hash(ctx, plainCode(code))
	if err != nil {
		return "", err
	}
	done, err := a.db.ExecContext(ctx, `INSERT INTO passcode (role, name, hash, created_at) VALUES ($1, $2, $3, $4) ON CONFLICT (name) DO NOTHING`, role, name, hash, a.now().Unix())
	if err != nil {
		return "", a.fail("keep the passcode", err)
	}
	if n, err := done.RowsAffected(); err != nil {
		return "", a.fail("keep the passcode", err)
	} else if n == 0 {
		return "", phrase.Wrong("code-twice", name)
	}
	return code, nil
}

// RenewPasscode makes an instructor's passcode of this name, in place of the one
// there is, and signs out who came in with that.
func (a *Accounts) RenewPasscode(ctx context.Context, name string) (string, error) {
	all, err := a.Passcodes(ctx)
	if err != nil {
		return "", err
	}
	i := slices.IndexFunc(all, func(p Passcode) bool { return p.Name == strings.TrimSpace(name) })
	if i < 0 {
		return a.AddPasscode(ctx, Instructor, name)
	}
	code := newPasscode()
	hash, err := a.hash(ctx, plainCode(code))
	if err != nil {
		return "", err
	}
	return code, a.in(ctx, "keep the passcode", func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE passcode SET hash = $1 WHERE id = $2`, hash, all[i].ID)
		if err == nil {
			_, err = tx.ExecContext(ctx, `DELETE FROM browser WHERE passcode = $1`, all[i].ID)
		}
		return err
	})
}

// Passcodes lists whose there are.
func (a *Accounts) Passcodes(ctx context.Context) ([]Passcode, error) {
	out, _, err := a.passcodes(ctx)
	return out, err
}

func (a *Accounts) passcodes(ctx context.Context) (out []Passcode, hashes []string, err error) {
	err = database.Every(func(scan database.Row) error {
		var p Passcode
		var hash string
		err := scan(&p.ID, &p.Role, &p.Name, &hash)
		out, hashes = append(out, p), append(hashes, hash)
		return err
	})(a.db.QueryContext(ctx, `SELECT id, role, name, hash FROM passcode ORDER BY role DESC, name`))
	return out, hashes, a.fail("read the passcodes", err)
}

// Removed is a passcode that was removed, with what brings it back.
type Removed struct {
	Role    Role
	Name    string
	Hash    string
	Created int64
}

// ErrLast is why a passcode stays: without it nobody could come in any more.
var ErrLast = phrase.Wrong("code-last")

// RemovePasscode removes one and signs out whoever came in with it, unless it is the
// last instructor's.
func (a *Accounts) RemovePasscode(ctx context.Context, id int64) (r Removed, err error) {
	err = a.db.In(ctx, func(tx *sql.Tx) error {
		return tx.QueryRowContext(ctx, `DELETE FROM passcode WHERE id = $1 AND NOT (role = 'instructor' AND (SELECT count(*) FROM passcode WHERE role = 'instructor') = 1)
			RETURNING role, name, hash, created_at`, id).Scan(&r.Role, &r.Name, &r.Hash, &r.Created)
	})
	if errors.Is(err, sql.ErrNoRows) {
		return Removed{}, ErrLast
	}
	return r, a.fail("remove the passcode", err)
}

// RestorePasscode brings one back; who came in with it signs in anew.
func (a *Accounts) RestorePasscode(ctx context.Context, r Removed) error {
	done, err := a.db.ExecContext(ctx, `INSERT INTO passcode (role, name, hash, created_at) VALUES ($1, $2, $3, $4) ON CONFLICT (name) DO NOTHING`, r.Role, r.Name, r.Hash, r.Created)
	if err != nil {
		return a.fail("bring the passcode back", err)
	}
	if n, err := done.RowsAffected(); err != nil || n > 0 {
		return a.fail("bring the passcode back", err)
	}
	return phrase.Wrong("code-twice", r.Name)
}

// SignIn opens a session for the name and passcode, or gives ErrWrong. A name
// that does not exist takes as long as one that does.
func (a *Accounts) SignIn(ctx context.Context, name, passcode string) (Session, string, error) {
	all, hashes, err := a.passcodes(ctx)
	if err != nil {
		return Session{}, "", err
	}
	found, hash := Passcode{}, decoy
	for i, p := range all {
		if p.Name == strings.TrimSpace(name) {
			found, hash = p, hashes[i]
		}
	}
	same, err := a.same(ctx, plainCode(passcode), hash)
	if err != nil {
		return Session{}, "", err
	}
	if !same || found.ID == 0 {
		return Session{}, "", ErrWrong
	}
	return a.begin(ctx, Session{Role: found.Role, Who: found.Name}, &found.ID)
}

// decoy is hashed against where there is no such name; nothing matches it.
var decoy = encode(make([]byte, saltBytes), make([]byte, tagBytes))

// plainCode takes a passcode as people type it: case, spaces and dashes aside.
func plainCode(s string) string {
	return strings.NewReplacer(" ", "", "-", "", "\u3000", "").Replace(strings.ToLower(s))
}

func (a *Accounts) hash(ctx context.Context, code string) (string, error) {
	salt := make([]byte, saltBytes)
	rand.Read(salt)
	tag, err := a.tag(ctx, code, salt)
	return encode(salt, tag), err
}

// tag waits for a place to hash in.
func (a *Accounts) tag(ctx context.Context, code string, salt []byte) ([]byte, error) {
	select {
	case a.hashing <- struct{}{}:
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	defer func() { <-a.hashing }()
	return argon2.IDKey([]byte(code), salt, passes, memoryKiB, lanes, tagBytes), nil
}

// encode writes the hash in the usual form of Argon2's reference program.
func encode(salt, tag []byte) string {
	b := base64.RawStdEncoding
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, memoryKiB, passes, lanes, b.EncodeToString(salt), b.EncodeToString(tag))
}

// same checks a code against an encoded hash. Only our own settings are known;
// with others the hash is damaged or a newer program's.
func (a *Accounts) same(ctx context.Context, code, hash string) (bool, error) {
	parts := strings.Split(hash, "$")
	if len(parts) != 6 {
		return false, phrase.Wrong("code-damaged")
	}
	salt, err1 := base64.RawStdEncoding.DecodeString(parts[4])
	want, err2 := base64.RawStdEncoding.DecodeString(parts[5])
	if err1 != nil || err2 != nil || encode(salt, want) != hash {
		return false, phrase.Wrong("code-damaged")
	}
	got, err := a.tag(ctx, code, salt)
	return subtle.ConstantTimeCompare(got, want) == 1, err
}
