package book

import (
	"context"
	"math"
	"slices"
	"time"

	"netagauge/internal/judge/eye"
	"netagauge/internal/keep/database"
)

// AddGuess keeps a guess, unless it was kept before.
func (b *Book) AddGuess(ctx context.Context, g eye.Guess) error {
	_, err := b.db.ExecContext(ctx, `INSERT INTO guess (token, person, card, fish, measure, guess, truth, u, within, guessed_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10) ON CONFLICT (person, token) DO NOTHING`,
		g.ID, g.By, g.Card, g.Fish, g.Measure, g.Guess, g.Truth, g.U, g.Within, g.At.UTC().Format(time.RFC3339))
	return b.fail("keep a guess", err)
}

// Guesses are somebody's since a time, the latest of them at most so many, oldest first.
func (b *Book) Guesses(ctx context.Context, person string, since time.Time, last int) ([]eye.Guess, error) {
	if last < 0 {
		last = math.MaxInt // PostgreSQL takes no negative limit
	}
	return b.guesses(ctx, `person = $1 AND guessed_at >= $2 ORDER BY guessed_at DESC, id DESC LIMIT $3`, person, since.UTC().Format(time.RFC3339), last)
}

// LastGuesses are the latest of several people, oldest first, so many of each at most.
func (b *Book) LastGuesses(ctx context.Context, people []string, last int) (map[string][]eye.Guess, error) {
	all, err := b.guesses(ctx, `id IN (SELECT id FROM (SELECT id, row_number() OVER (PARTITION BY person ORDER BY guessed_at DESC, id DESC) AS place
		FROM guess WHERE `+b.db.Among("person", "$1")+`) AS latest WHERE place <= $2) ORDER BY guessed_at DESC, id DESC`, database.List(b.db, people), last)
	out := map[string][]eye.Guess{}
	for _, g := range all {
		out[g.By] = append(out[g.By], g)
	}
	return out, err
}

// GuessesOn are somebody's about one slice, or all slices of a tray that share a card.
func (b *Book) GuessesOn(ctx context.Context, person, card string) ([]eye.Guess, error) {
	return b.guesses(ctx, `person = $1 AND card = $2 ORDER BY id DESC`, person, card)
}

// Guess is a person's of that ID; false where there is none.
func (b *Book) Guess(ctx context.Context, person, id string) (eye.Guess, bool, error) {
	found, err := b.guesses(ctx, `person = $1 AND token = $2`, person, id)
	if err != nil || len(found) == 0 {
		return eye.Guess{}, false, err
	}
	return found[0], true, nil
}

// guesses are those of a condition that lists the newest first, turned about.
func (b *Book) guesses(ctx context.Context, where string, args ...any) ([]eye.Guess, error) {
	out, err := database.Each(func(scan database.Row) (g eye.Guess, err error) {
		var at string
		err = scan(&g.ID, &g.By, &g.Card, &g.Fish, &g.Measure, &g.Guess, &g.Truth, &g.U, &g.Within, &at)
		if err == nil {
			g.At, err = time.Parse(time.RFC3339, at)
		}
		return g, err
	})(b.db.QueryContext(ctx, `SELECT token, person, card, fish, measure, guess, truth, u, within, guessed_at FROM guess WHERE `+where, args...))
	slices.Reverse(out)
	return out, b.fail("read guesses", err)
}
