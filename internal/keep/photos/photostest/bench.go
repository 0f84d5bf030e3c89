package photostest

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/photos"
)

// Bench is an empty store to be tried.
type Bench struct {
	Store    photos.Store
	Arriving string                  // folder that photos arrive in
	Again    func() photos.Store     // the same store as another process opens it
	Many     int                     // how many photos the long list has
	Put      func(name, text string) // lays something into the store behind its back, for names that Put refuses; may be nil
}

// Arrive lays a photo where one arrives.
func (b Bench) Arrive(t testing.TB, data []byte) photos.Arrived {
	t.Helper()
	f, err := os.CreateTemp(b.Arriving, "arriving-*")
	fatal.If(t, err)
	if _, err := f.Write(data); err != nil {
		t.Fatal(err)
	}
	fatal.If(t, f.Close())
	sum := sha256.Sum256(data)
	return photos.Arrived{Path: f.Name(), Bytes: int64(len(data)), SHA256: hex.EncodeToString(sum[:])}
}

func (b Bench) put(t testing.TB, name string, data []byte) {
	t.Helper()
	if err := b.Store.Put(t.Context(), name, b.Arrive(t, data)); err != nil {
		t.Fatalf("put %s: %v", name, err)
	}
}

// Holds fails when a store has not exactly these bytes under a name; nil is nothing.
func Holds(t testing.TB, s photos.Store, name string, want []byte) {
	t.Helper()
	info, serr := s.Stat(t.Context(), name)
	f, err := s.Open(t.Context(), name)
	if want == nil {
		if !errors.Is(err, fs.ErrNotExist) || !errors.Is(serr, fs.ErrNotExist) {
			t.Errorf("%s: open says %v, stat %v; want none", name, err, serr)
		}
		return
	}
	if err != nil || serr != nil {
		t.Errorf("%s: open says %v, stat %v", name, err, serr)
		return
	}
	defer f.Close()
	got, err := io.ReadAll(f)
	if err != nil || !bytes.Equal(got, want) || info.Bytes != int64(len(want)) {
		t.Errorf("%s: %d bytes (%v), stat says %d; want the %d that were put", name, len(got), err, info.Bytes, len(want))
	}
}

// Names are all that a store lists.
func Names(t testing.TB, s photos.Store, after string) (out []string) {
	t.Helper()
	for name, err := range s.List(t.Context(), after) {
		fatal.If(t, err)
		out = append(out, name)
	}
	return out
}

// Random are bytes that do not repeat.
func Random(seed uint64, n int) []byte {
	out := make([]byte, n)
	source := rand.NewChaCha8([32]byte{byte(seed), byte(seed >> 8), byte(seed >> 16)})
	source.Read(out)
	return out
}
