package worker

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/work/record"
	"runtime/debug"
	"strings"

	"netagauge/internal/core/piece"
	"netagauge/internal/see/photo"
	"netagauge/internal/work/fence"
	"netagauge/internal/work/inspect"
)

// request goes to a worker, with the photo's bytes as the body, and those of a
// second one behind them.
type request struct {
	Nonce  string // of this request, which the answer gives back
	Name   string
	Ticket ticket.Ticket
	Second string `json:",omitempty"` // name of the second photo
	First  int64  `json:",omitempty"` // bytes of the first, where there is a second
}

// photos parts the body.
func (q request) photos(body []byte) (first, second []byte, err error) {
	if q.Second == "" {
		return body, nil, nil
	}
	if q.First < 0 || q.First > int64(len(body)) {
		return nil, nil, fmt.Errorf("%w: a photo of %d bytes in %d", errFrame, q.First, len(body))
	}
	return body[:q.First], body[q.First:], nil
}

// answer comes back, with the annotated picture as the body. Without a report
// it says what is wrong: with what was entered, or with the program.
type answer struct {
	To      string      // the request's nonce and the hash of the photos, see to
	Report  *piece.Tray `json:",omitempty"`
	Entered string      `json:",omitempty"`
	Mistake string      `json:",omitempty"`
}

// to is what an answer says that it answers: a report of another photo must never
// be taken for this one's.
func to(nonce string, photos hash.Hash) string {
	return nonce + " " + hex.EncodeToString(photos.Sum(nil))
}

// ready is what a worker says first.
type ready struct {
	Lacking string `json:",omitempty"` // of its fence, on this kernel
}

// Serve is the worker's side: it answers requests from in on out, one after
// another, until in ends. It sets its own limits and fence first. Everything it knows of a
// tray comes with the request.
func Serve(ctx context.Context, in io.Reader, out io.Writer, l Limits) error {
	if err := l.set(); err != nil {
		return fmt.Errorf("set the worker's limits: %w", err)
	}
	if err := writeFrame(out, ready{fence.Raise()}, strings.NewReader(""), 0); err != nil {
		return err
	}
	for {
		var q request
		data, err := readFrame(in, &q, 2*photo.MaxBytes)
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		if err := l.AllowPhoto(); err != nil {
			return err
		}
		a, picture := reply(ctx, q, data)
		sum := sha256.New()
		sum.Write(data)
		a.To = to(q.Nonce, sum)
		if err := writeFrame(out, a, bytes.NewReader(picture), int64(len(picture))); err != nil {
			return err
		}
		data, picture = nil, nil
		debug.FreeOSMemory()
	}
}

// reply measures one tray.
func reply(ctx context.Context, q request, body []byte) (answer, []byte) {
	first, second, err := q.photos(body)
	if err != nil {
		return answer{Mistake: err.Error()}, nil
	}
	res, err := measure(ctx, inspect.Photos{First: inspect.Photo{Name: q.Name, Data: first}, Second: inspect.Photo{Name: q.Second, Data: second}}, q.Ticket)
	var entered record.EnteredError
	var mistake record.MistakeError
	switch {
	case errors.As(err, &entered):
		return answer{Entered: strings.TrimPrefix(entered.What, q.Name+": ")}, nil
	case errors.As(err, &mistake):
		return answer{Mistake: mistake.What}, nil
	case err != nil:
		return answer{Mistake: err.Error()}, nil
	}
	return answer{Report: &res.Report}, res.Picture
}
