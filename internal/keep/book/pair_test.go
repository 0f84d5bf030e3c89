package book

import (
	"crypto/sha256"
	"encoding/hex"
	"netagauge/internal/core/piece"
	"slices"
	"testing"
	"time"
)

func TestHashPhotos(t *testing.T) {
	hash := func(s string) string {
		sum := sha256.Sum256([]byte(s))
		return hex.EncodeToString(sum[:])
	}
	for _, c := range []struct {
		name          string
		photo, second []byte
		want          []string
	}{
		{"one photo", []byte("a"), nil, []string{hash("a")}},
		{"a pair", []byte("a"), []byte("b"), []string{hash("a"), hash("b")}},
		{"the other way round", []byte("b"), []byte("a"), []string{hash("b"), hash("a")}},
		{"an empty second file", []byte("a"), []byte{}, []string{hash("a"), hash("")}},
	} {
		if got := Hashes(HashPhotos(c.photo, c.second)); !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// A second photo makes another result, but no other check of the line, and what
// was decided about the pieces stays.
func TestSecondPhotoComes(t *testing.T) {
	ctx, b := t.Context(), open4test(t)
	run, alone := fill(t, b)
	pair := HashPhotos([]byte("photo"), []byte("moved"))
	var hash string
	if err := b.db.QueryRow(`SELECT ticket_hash FROM run WHERE id = ?`, run.ID).Scan(&hash); err != nil {
		t.Fatal(err)
	}
	k := Key{pair, hash, "v1"}
	if id, found, err := b.Find(ctx, k); err != nil || found {
		t.Fatalf("result %d of the photo alone was taken for the pair's: %v", id, err)
	}
	id, err := b.Keep(ctx, k, sample("tray.jpg"), Pictures{})
	if err != nil || id == alone {
		t.Fatalf("kept as result %d, %v; want another than %d", id, err, alone)
	}
	if _, err := b.AddSpotCheck(ctx, SpotCheck{Result: id, Line: "lunch", File: "tray.jpg", CheckedAt: time.Now()}); err != nil {
		t.Fatal(err)
	}
	if checks, err := b.SpotChecks(ctx, "lunch"); err != nil || len(checks) != 1 || checks[0].Result != id {
		t.Errorf("checks %+v, %v; want the pair's only", checks, err)
	}
	if err := b.Override(ctx, pair, piece.Override{Piece: 1, Kind: piece.NotASlice, Reason: "skin"}); err != nil {
		t.Fatal(err)
	}
	for _, photo := range []string{pair, Hash([]byte("photo"))} {
		if got, err := b.Overrides(ctx, photo); err != nil || len(got) != 2 {
			t.Errorf("%s: overrides %+v, %v; want the one made before and the one made since", photo, got, err)
		}
	}
}
