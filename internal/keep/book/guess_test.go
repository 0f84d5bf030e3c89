package book

import (
	"slices"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/eye"
)

// Every column comes back as it went in, what is sent twice is kept once, and nobody gets
// another's.
func TestGuesses(t *testing.T) {
	b, err := Temporary(t.Context())
	fatal.If(t, err)
	t.Cleanup(func() { b.Close() })
	at := time.Date(2026, 11, 2, 9, 30, 0, 0, time.UTC)
	first := eye.Guess{ID: "a1", By: "Aoi Test", Card: "x-3", Kind: eye.Kind{Fish: "tuna", Measure: "length"}, Guess: 78, Truth: 82.5, U: 0.4, Within: 2.5, At: at}
	second, other := first, first
	second.ID, second.At, second.Guess, second.Card = "a2", at.Add(time.Hour), 81, "x-4"
	other.By = "Bo Test"
	for _, g := range []eye.Guess{second, first, first, other} {
		fatal.If(t, b.AddGuess(t.Context(), g))
	}
	got, err := b.Guesses(t.Context(), "Aoi Test", time.Time{}, 10)
	if err != nil || len(got) != 2 || got[0] != first || got[1] != second {
		t.Fatalf("%+v, %v", got, err)
	}
	for _, c := range []struct {
		since time.Time
		last  int
	}{{at.Add(time.Minute), 10}, {time.Time{}, 1}} {
		if got, err := b.Guesses(t.Context(), "Aoi Test", c.since, c.last); err != nil || len(got) != 1 || got[0] != second {
			t.Errorf("%v: %+v, %v", c, got, err)
		}
	}
	if got, err := b.LastGuesses(t.Context(), []string{"Aoi Test", "Bo Test", "Cho Test"}, 1); err != nil || len(got) != 2 || !slices.Equal(got["Aoi Test"], []eye.Guess{second}) || !slices.Equal(got["Bo Test"], []eye.Guess{other}) {
		t.Errorf("the last ones of several: %+v, %v", got, err)
	}
	if got, err := b.LastGuesses(t.Context(), []string{"Aoi Test"}, 9); err != nil || !slices.Equal(got["Aoi Test"], []eye.Guess{first, second}) {
		t.Errorf("the last nine: %+v, %v", got, err)
	}
	if got, err := b.GuessesOn(t.Context(), "Aoi Test", "x-4"); err != nil || len(got) != 1 || got[0] != second {
		t.Errorf("%+v, %v", got, err)
	}
	if got, found, err := b.Guess(t.Context(), "Bo Test", "a1"); err != nil || !found || got != other {
		t.Errorf("%+v %v, %v", got, found, err)
	}
	if _, found, err := b.Guess(t.Context(), "Bo Test", "a2"); err != nil || found {
		t.Errorf("another's was found, %v", err)
	}
}
