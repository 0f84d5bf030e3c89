package metrics

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"io"
	"log/slog"
)

// Log writes a line for each thing that whoever runs the machine should know: as text
// for a terminal, or as JSON. A site is named where there are several.
func Log(to io.Writer, asJSON bool, site string) *slog.Logger {
	var h slog.Handler = slog.NewTextHandler(to, nil)
	if asJSON {
		h = slog.NewJSONHandler(to, nil)
	}
	l := slog.New(named{h})
	if site != "" {
		l = l.With("site", site)
	}
	return l
}

type requestKey struct{}

// Request gives a request a name by chance, which its log lines have.
func Request(ctx context.Context) (named context.Context, id string) {
	var b [6]byte
	rand.Read(b[:]) // never fails
	id = hex.EncodeToString(b[:])
	return context.WithValue(ctx, requestKey{}, id), id
}

// named adds the name of the request that a line belongs to.
type named struct{ slog.Handler }

func (n named) Handle(ctx context.Context, r slog.Record) error {
	if id, ok := ctx.Value(requestKey{}).(string); ok {
		r.AddAttrs(slog.String("request", id))
	}
	return n.Handler.Handle(ctx, r)
}

func (n named) WithAttrs(a []slog.Attr) slog.Handler { return named{n.Handler.WithAttrs(a)} }
func (n named) WithGroup(name string) slog.Handler   { return named{n.Handler.WithGroup(name)} }
