// Package record is the one road from the photos of a tray and its job ticket to
// a result in the record book. It measures nothing itself: how is the caller's to
// say, in this process or in one of its own. Whatever was measured of the same
// photos, by the same ticket and the same program, is in the book already and is
// not measured again.
package record

import (
	"bytes"
	"context"
	"errors"
	"io"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/book"
)

// Photo is one photo by the name that people know it by, with the hash of its
// content as it should be. Open is called for each try at measuring it; a Photo
// without it is none.
type Photo struct {
	Name, Hash string
	Open       Opener
}

// Opener gives a photo's bytes and how many there are.
type Opener func() (io.ReadCloser, int64, error)

// There reports whether there is a photo.
func (p Photo) There() bool { return p.Open != nil }

// Bytes is a photo that is in memory.
func Bytes(name string, data []byte) Photo {
	return Photo{name, book.Hash(data), func() (io.ReadCloser, int64, error) {
		return io.NopCloser(bytes.NewReader(data)), int64(len(data)), nil
	}}
}

// Read reads a photo whole; none gives nil.
func (p Photo) Read() ([]byte, error) {
	if !p.There() {
		return nil, nil
	}
	r, size, err := p.Open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	data := make([]byte, size)
	_, err = io.ReadFull(r, data)
	return data, err
}

// Tray is a tray to be measured: its photo, a second one from another place if
// there is one, and its ticket. Language is the tag of that which its picture is
// written in; a result that is in the book already keeps the picture it has.
type Tray struct {
	First, Second Photo
	Ticket        ticket.Ticket
	Language      string
}

// Photos stands for the content of the tray's photos, as the book keeps it.
func (t Tray) Photos() string {
	if !t.Second.There() {
		return t.First.Hash
	}
	return book.JoinHashes(t.First.Hash, t.Second.Hash)
}

// Result of a tray that could be looked at; the report may say refused.
type Result struct {
	Report  piece.Tray
	Picture []byte // annotated JPEG, empty when no mat was found
	View    []byte // JPEG of the field with nothing drawn on it, at the photo's resolution; empty likewise
}

// Measure measures a tray. Its errors are EnteredError, MistakeError, those of
// opening the photos, the context's, and those of the process that measures.
type Measure func(context.Context, Tray) (Result, error)

// EnteredError says what of that which was entered does not fit the photo.
type EnteredError struct{ Cause error }

func (e EnteredError) Error() string { return e.Cause.Error() }
func (e EnteredError) Unwrap() error { return e.Cause }

// MistakeError is a mistake of the program that it noticed itself.
type MistakeError struct{ What string }

func (e MistakeError) Error() string {
	return "the program made a mistake over this photo (" + e.What + "); please report it"
}

// ErrChanged says that a photo is not the one that was received.
var ErrChanged = errors.New("the photo on the disk is not the one that was received")
