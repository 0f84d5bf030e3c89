// Package signet signs papers for a kitchen with an Ed25519 key of its own (RFC 8032)
// and tells whether a paper is as it was signed. A signature says which data folder a
// paper comes from and that nothing in it was changed since; it has no legal meaning.
package signet

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/x509"
	"encoding/base64"
	"encoding/pem"
	"fmt"
	"regexp"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/settings"
)

// Key is the kitchen's.
type Key struct{ private ed25519.PrivateKey }

// Open reads the key among a kitchen's settings (PEM of PKCS #8), or makes one.
func Open(ctx context.Context, in settings.Texts) (*Key, error) {
	text, err := settings.Begin(ctx, in, settings.Signet, create)
	if err != nil {
		return nil, err
	}
	block, _ := pem.Decode([]byte(text))
	if block == nil {
		return nil, phrase.Wrong("signet-no-key", settings.Signet)
	}
	key, err := x509.ParsePKCS8PrivateKey(block.Bytes)
	private, ok := key.(ed25519.PrivateKey)
	if err != nil || !ok {
		return nil, phrase.Wrong("signet-no-key", settings.Signet)
	}
	return &Key{private}, nil
}

func create() (string, error) {
	_, private, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		return "", err
	}
	secret, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		return "", err
	}
	return string(pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret})), nil
}

// Public is the public key in base64, by which a paper's signer is known.
func (k *Key) Public() string {
	return base64.StdEncoding.EncodeToString(k.private.Public().(ed25519.PublicKey))
}

// Sign is a PDF with the key's signature over all of it behind its end: a comment,
// which readers pass over, and the end marker once more, which they look for.
func (k *Key) Sign(pdf []byte) []byte {
	out := bytes.Clone(pdf)
	if !bytes.HasSuffix(out, []byte("\n")) {
		out = append(out, '\n')
	}
	signature := base64.StdEncoding.EncodeToString(ed25519.Sign(k.private, out))
	return append(out, fmt.Sprintf("%%netagauge-ed25519 %s %s\n%%%%EOF\n", k.Public(), signature)...)
}

// ErrUnsigned is a paper without a signature at its end, ErrChanged one that is not as
// it was signed.
var (
	ErrUnsigned = phrase.Wrong("signet-unsigned")
	ErrChanged  = phrase.Wrong("signet-changed")
)

// strict lets one key, and one signature, be written in one way only.
var strict = base64.StdEncoding.Strict()

var last = regexp.MustCompile(`%netagauge-ed25519 ([A-Za-z0-9+/]{43}=) ([A-Za-z0-9+/]{86}==)\n%%EOF\n$`)

// Signed are the content of a signed PDF and the public key that signed it.
func Signed(pdf []byte) (content []byte, public string, err error) {
	const room = 200 // more than the comment has
	from := max(0, len(pdf)-room)
	at := last.FindSubmatchIndex(pdf[from:])
	if at == nil {
		return nil, "", ErrUnsigned
	}
	public = string(pdf[from+at[2] : from+at[3]])
	content = pdf[:from+at[0]]
	key, errKey := strict.DecodeString(public)
	signature, errSig := strict.DecodeString(string(pdf[from+at[4] : from+at[5]]))
	if errKey != nil || errSig != nil || !ed25519.Verify(key, content, signature) {
		return nil, "", ErrChanged
	}
	return content, public, nil
}
