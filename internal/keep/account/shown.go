package account

import (
	"context"
	"crypto/aes"
	"crypto/cipher"
	"crypto/rand"
	"crypto/sha256"
	"database/sql"
	"errors"
	"time"
)

// shownLong is how long a page can be loaded anew that shows what was just made. Our
// setting: a lesson, and the break after it.
const shownLong = 2 * time.Hour

// Show keeps for a while what one page shows to its owner: of a kind, such as links, so
// that nothing is read as what it is not. It is sealed (AES-256 in Galois/Counter Mode,
// NIST SP 800-38D) by a key that only the page's address has, since there are secrets
// among it: neither the accounts nor a backup of them can be read for it.
func (a *Accounts) Show(ctx context.Context, kind, owner string, what []byte) (address string, err error) {
	address = rand.Text()
	seal, err := sealOf(address)
	if err != nil {
		return "", err
	}
	sealed := seal.Seal(nil, nil, what, binding(kind, owner))
	return address, a.in(ctx, "keep what is shown", func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, `DELETE FROM shown WHERE expires_at <= $1`, a.now().Unix()); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO shown (hash, sealed, expires_at) VALUES ($1, $2, $3)`, digest(address), sealed, a.now().Add(shownLong).Unix())
		return err
	})
}

// Shown is what is kept for a page; nothing where it is there no more, or another's.
func (a *Accounts) Shown(ctx context.Context, kind, owner, address string) (what []byte, found bool, err error) {
	var sealed []byte
	err = a.db.QueryRowContext(ctx, `SELECT sealed FROM shown WHERE hash = $1 AND expires_at > $2`, digest(address), a.now().Unix()).Scan(&sealed)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, false, nil
	}
	if err != nil {
		return nil, false, a.fail("read what is shown", err)
	}
	seal, err := sealOf(address)
	if err != nil {
		return nil, false, err
	}
	what, err = seal.Open(nil, nil, sealed, binding(kind, owner))
	return what, err == nil, nil
}

// sealOf is the cipher of an address, whose key is used for one text alone.
func sealOf(address string) (cipher.AEAD, error) {
	key := sha256.Sum256([]byte("key of " + address)) // and the digest alone is kept, which tells nothing of it
	block, err := aes.NewCipher(key[:])
	if err != nil {
		return nil, err
	}
	return cipher.NewGCMWithRandomNonce(block)
}

func binding(kind, owner string) []byte { return []byte(kind + "\x00" + owner) }
