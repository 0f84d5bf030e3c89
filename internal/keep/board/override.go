package board

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/keep/book"
)

// FileOverride is an override of a piece in one of a folder's photos.
type FileOverride struct {
	File string
	piece.Override
}

// ParseOverride reads FILE:PIECE:REASON for one of the given files, whose names
// may hold colons themselves.
func ParseOverride(kind, text string, files []string) (FileOverride, error) {
	for i, r := range text {
		if r != ':' || !slices.Contains(files, text[:i]) {
			continue
		}
		number, reason, _ := strings.Cut(text[i+1:], ":")
		n, err := strconv.Atoi(number)
		if err != nil || n < 1 || strings.TrimSpace(reason) == "" {
			return FileOverride{}, phrase.Wrong("override-form", strconv.Quote(text), text[:i])
		}
		return FileOverride{text[:i], piece.Override{Piece: n, Kind: kind, Reason: strings.TrimSpace(reason)}}, nil
	}
	return FileOverride{}, phrase.Wrong("override-file", strconv.Quote(text))
}

// KeepOverrides keeps overrides of pieces of a run's photos. Each must name a piece
// that is there.
func KeepOverrides(ctx context.Context, b *book.Book, entries []book.Entry, overrides []FileOverride) error {
	for _, o := range overrides {
		i := slices.IndexFunc(entries, func(e book.Entry) bool { return e.File == o.File })
		if i < 0 {
			return phrase.Wrong("override-unmeasured", strconv.Quote(o.File))
		}
		r, err := b.Report(ctx, entries[i].Result)
		if err != nil {
			return err
		}
		p := slices.IndexFunc(r.Pieces, func(p piece.Piece) bool { return p.Number == o.Piece })
		if p < 0 {
			return phrase.Wrong("override-piece", strconv.Quote(o.File), o.Piece, len(r.Pieces))
		}
		o.At = r.Pieces[p].Middle()
		if err := b.Override(ctx, entries[i].Photo, o.Override); err != nil {
			return err
		}
	}
	return nil
}
