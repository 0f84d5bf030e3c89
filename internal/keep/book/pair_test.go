package book

import (
	"slices"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
)

func TestJoinHashes(t *testing.T) {
	a, b := Hash([]byte("a")), Hash([]byte("b"))
	for _, c := range []struct {
		name, joined string
		want         []string
	}{
		{"one photo", a, []string{a}},
		{"a pair", JoinHashes(a, b), []string{a, b}},
		{"the other way round", JoinHashes(b, a), []string{b, a}},
	} {
		if got := Hashes(c.joined); !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	// FIPS 180-4, as its examples have it.
	if got := Hash([]byte("abc")); got != "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" {
		t.Errorf("SHA-256 of abc is %s", got)
	}
}

// A second photo makes another result, but no other check of the line, and what
// was decided about the pieces stays.
func TestSecondPhotoComes(t *testing.T) {
	ctx, b := t.Context(), open4test(t)
	run, alone := fill(t, b)
	pair := JoinHashes(Hash([]byte("photo")), Hash([]byte("moved")))
	var hash string
	fatal.If(t, b.db.QueryRowContext(t.Context(), `SELECT ticket_hash FROM run WHERE id = $1`, run.ID).Scan(&hash))
	k := Key{pair, hash, "v1"}
	if id, found, err := b.Find(ctx, k); err != nil || found {
		t.Fatalf("result %d of the photo alone was taken for the pair's: %v", id, err)
	}
	id, err := b.Keep(ctx, k, sample("tray.jpg"), Pictures{})
	if err != nil || id == alone {
		t.Fatalf("kept as result %d, %v; want another than %d", id, err, alone)
	}
	if _, _, err := b.AddSpotCheck(ctx, SpotCheck{Result: id, Line: "lunch", File: "tray.jpg", CheckedAt: time.Now()}); err != nil {
		t.Fatal(err)
	}
	if checks, err := b.SpotChecks(ctx, "lunch", Span{}); err != nil || len(checks) != 1 || checks[0].Result != id {
		t.Errorf("checks %+v, %v; want the pair's only", checks, err)
	}
	fatal.If(t, b.Override(ctx, pair, piece.Override{Piece: 1, Kind: piece.NotASlice, Reason: "skin"}))
	for _, photo := range []string{pair, Hash([]byte("photo"))} {
		if got, err := b.Overrides(ctx, photo); err != nil || len(got) != 2 {
			t.Errorf("%s: overrides %+v, %v; want the one made before and the one made since", photo, got, err)
		}
	}
}
