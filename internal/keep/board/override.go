package board

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/grade"
	"netagauge/internal/keep/book"
)

// Decision is an override as entered: FILE:PIECE:REASON.
type Decision struct {
	File, Kind, Reason string
	Piece              int
}

// ParseDecision reads FILE:PIECE:REASON for one of the given files, whose names
// may hold colons themselves.
func ParseDecision(kind, text string, files []string) (Decision, error) {
	for i, r := range text {
		if r != ':' || !slices.Contains(files, text[:i]) {
			continue
		}
		number, reason, _ := strings.Cut(text[i+1:], ":")
		n, err := strconv.Atoi(number)
		if err != nil || n < 1 || strings.TrimSpace(reason) == "" {
			return Decision{}, fmt.Errorf("%q must be FILE:PIECE:REASON, such as %s:3:\"a scrap of skin\"", text, text[:i])
		}
		return Decision{text[:i], kind, strings.TrimSpace(reason), n}, nil
	}
	return Decision{}, fmt.Errorf("%q does not begin with a photo of the folder; write FILE:PIECE:REASON with the file as it is named inside the folder", text)
}

// Decide keeps decisions about pieces of a run's photos. Each must name a piece
// that is there.
func Decide(ctx context.Context, b *book.Book, entries []book.Entry, decisions []Decision) error {
	for _, d := range decisions {
		i := slices.IndexFunc(entries, func(e book.Entry) bool { return e.File == d.File })
		if i < 0 {
			return fmt.Errorf("photo %q was not measured, so nothing can be decided about its pieces", d.File)
		}
		r, err := b.Report(ctx, entries[i].Result)
		if err != nil {
			return err
		}
		p := slices.IndexFunc(r.Pieces, func(p piece.Piece) bool { return p.Number == d.Piece })
		if p < 0 {
			return fmt.Errorf("photo %q has no piece %d; it has %d", d.File, d.Piece, len(r.Pieces))
		}
		err = b.Override(ctx, book.Override{Photo: entries[i].Photo, Piece: d.Piece, At: r.Pieces[p].Middle(), Kind: d.Kind, Reason: d.Reason})
		if err != nil {
			return err
		}
	}
	return nil
}

// samePlace is how far, in mm, a piece may seem to have moved between two
// versions of the program and still be the same piece. Our setting: a quarter
// of a slice's width.
const samePlace = 9

// Decisions matches overrides, oldest first, with the pieces of a photo by
// where they lie, and returns them by number. An override whose piece is gone
// is an error that names it.
func Decisions(pieces []piece.Piece, overrides []book.Override) (map[int]grade.Decision, error) {
	out := map[int]grade.Decision{}
	var errs []error
	for _, o := range overrides {
		best, distance := -1, math.Inf(1)
		for i, p := range pieces {
			at := p.Middle()
			if d := math.Hypot(at[0]-o.At[0], at[1]-o.At[1]); d < distance {
				best, distance = i, d
			}
		}
		if distance > samePlace {
			errs = append(errs, fmt.Errorf("the override %q about piece %d fits no piece any more", o.Reason, o.Piece))
			continue
		}
		out[pieces[best].Number] = grade.Decision{Slice: o.Kind == book.CountIt, Reason: o.Reason}
	}
	return out, errors.Join(errs...)
}
