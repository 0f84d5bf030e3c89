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
	"runtime/debug"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/plan"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/see/printscale"
	"netagauge/internal/work/blockplan"
	"netagauge/internal/work/matprint"
	"netagauge/internal/work/record"

	"netagauge/internal/core/piece"
	"netagauge/internal/see/photo"
	"netagauge/internal/work/inspect"
	"netagauge/internal/work/sandbox"
)

// request goes to a worker, with the photo's bytes as the body, and those of a
// second one behind them.
type request struct {
	Nonce  string // of this request, which the answer gives back
	Name   string
	Ticket ticket.Ticket
	Second string `json:",omitempty"` // name of the second photo
	First  int64  `json:",omitempty"` // bytes of the first, where there is a second

	Language string `json:",omitempty"` // of the picture, by its tag

	// One of these in place of a ticket asks for something else of the photo.
	Block *plan.Photographed `json:",omitempty"` // to plan its cuts
	Print *printed           `json:",omitempty"` // to measure the mat's print
}

// printed names the coin that shows the print's scale, none for a bank card.
type printed struct{ Coin string }

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

// answer comes back, with the picture that was drawn as the body. Else it says
// what is wrong: with what was entered or photographed, or with the program.
type answer struct {
	To      string               // the request's nonce and the hash of the photos, see to
	Report  *piece.Tray          `json:",omitempty"`
	Drawn   int                  `json:",omitempty"` // bytes of the body that are the annotated picture; the view follows
	Plan    *plan.Plan           `json:",omitempty"`
	Print   *printscale.Verified `json:",omitempty"`
	Entered phrase.Text          `json:",omitempty"` // what a person can mend
	Mistake string               `json:",omitempty"`
}

// err is what an answer says that is none, or not to the request.
func (a answer) err(q request) error {
	switch {
	case a.Entered != nil && q.Print != nil && a.Report != nil:
		return record.EnteredError{Cause: matprint.RefusedError{Report: *a.Report}}
	case a.Entered != nil:
		return record.EnteredError{Cause: &phrase.Error{Says: a.Entered}}
	case q.Block != nil && a.Plan == nil, q.Print != nil && a.Print == nil, q.Block == nil && q.Print == nil && a.Report == nil:
		return record.MistakeError{What: a.Mistake}
	}
	return nil
}

// to is what an answer says that it answers: a report of another photo must never
// be taken for this one's.
func to(nonce string, photos hash.Hash) string {
	return nonce + " " + hex.EncodeToString(photos.Sum(nil))
}

// ready is what a worker says first.
type ready struct {
	Lacking string `json:",omitempty"` // of its sandbox, on this kernel
}

// resting is how long a worker waits for the next photo before it gives the memory of the
// last one back: to have it anew takes a tenth of a photo's time.
const resting = time.Second

// Serve is the worker's side: it answers requests from in on out, one after
// another, until in ends. It sets its own limits and sandbox first. Everything it knows of a
// tray comes with the request.
func Serve(ctx context.Context, in io.Reader, out io.Writer, l Limits) error {
	if err := l.set(); err != nil {
		return fmt.Errorf("set the worker's limits: %w", err)
	}
	if err := writeFrame(out, ready{sandbox.Enter()}, strings.NewReader(""), 0); err != nil {
		return err
	}
	rest := time.AfterFunc(resting, debug.FreeOSMemory)
	for {
		var q request
		data, err := readFrame(in, &q, 2*photo.MaxBytes)
		rest.Stop()
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
		rest.Reset(resting)
	}
}

// reply answers one request.
func reply(ctx context.Context, q request, body []byte) (answer, []byte) {
	a, picture, err := answerTo(ctx, q, body)
	var entered record.EnteredError
	var mistake record.MistakeError
	switch {
	case err == nil:
		return a, picture
	case errors.As(err, &mistake):
		return answer{Mistake: mistake.What}, nil
	case !errors.As(err, &entered):
		return answer{Mistake: err.Error()}, nil
	}
	return answer{Report: a.Report, Entered: phrase.Telling(entered)}, nil
}

// answerTo does what is asked for.
func answerTo(ctx context.Context, q request, body []byte) (a answer, picture []byte, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = record.MistakeError{What: fmt.Sprint(p)}
		}
	}()
	first, second, err := q.photos(body)
	if err != nil {
		return a, nil, err
	}
	photo := inspect.Photo{Name: q.Name, Data: first}
	switch {
	case q.Block != nil:
		made, picture, err := blockplan.Make(ctx, photo, inspect.Photo{Name: q.Second, Data: second}, *q.Block)
		return answer{Plan: &made}, picture, asEntered(err)
	case q.Print != nil:
		v, err := matprint.Verify(ctx, photo, q.Print.Coin)
		var refused matprint.RefusedError
		if errors.As(err, &refused) {
			a.Report = &refused.Report
		}
		a.Print = &v
		return a, nil, asEntered(err)
	}
	res, err := measure(ctx, inspect.Photos{First: photo, Second: inspect.Photo{Name: q.Second, Data: second}}, q.Ticket, q.Language)
	return answer{Report: &res.Report, Drawn: len(res.Picture)}, append(res.Picture, res.View...), err
}

// asEntered is an error that a person can mend with another photo or other
// numbers.
func asEntered(err error) error {
	if err == nil {
		return nil
	}
	return record.EnteredError{Cause: err}
}
