package worker

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"hash"
	"io"

	"netagauge/internal/work/record"
)

// body is the photos of a tray in a row, summed up as they are read.
type body struct {
	parts []part
	next  int
}

type part struct {
	photo record.Photo
	open  io.ReadCloser
	left  int64
	sum   hash.Hash
}

// add opens a photo behind those that are there. If it cannot, it closes all.
func (b *body) add(p record.Photo) (size int64, err error) {
	r, size, err := p.Open()
	if err != nil {
		b.Close()
		return 0, err
	}
	b.parts = append(b.parts, part{p, r, size, sha256.New()})
	return size, nil
}

func (b *body) Read(to []byte) (n int, err error) {
	for b.next < len(b.parts) {
		p := &b.parts[b.next]
		if p.left == 0 {
			b.next++
			continue
		}
		n, err = p.open.Read(to[:min(int64(len(to)), p.left)])
		p.left -= int64(n)
		p.sum.Write(to[:n])
		if errors.Is(err, io.EOF) && p.left > 0 {
			err = io.ErrUnexpectedEOF
		} else if errors.Is(err, io.EOF) {
			err = nil
		}
		return n, err
	}
	return 0, io.EOF
}

// whole reports whether what was read is what was received.
func (b *body) whole() bool {
	for _, p := range b.parts {
		if hex.EncodeToString(p.sum.Sum(nil)) != p.photo.Hash {
			return false
		}
	}
	return true
}

func (b *body) Close() (err error) {
	for _, p := range b.parts {
		err = errors.Join(err, p.open.Close())
	}
	return err
}
