// Package archive packs files into one and unpacks them again: a tar.gz of plain files,
// the last of which lists the others with their hashes. It knows no kitchen.
package archive

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"netagauge/internal/core/phrase"
	"os"
	"time"
)

const (
	manifestFile = "manifest.json"
	format       = 1
	maxSmall     = 64 << 20
)

// Manifest is the last file of an archive.
type Manifest struct {
	Format int
	Made   time.Time
	Files  []Listed
	Absent []string // what was to be in it and is not there any more
}

// Listed is a file with the hash of its bytes.
type Listed struct {
	Name   string
	Bytes  int64
	SHA256 string
}

// Packer writes an archive. One that was not closed is none.
type Packer struct {
	tar *tar.Writer
	zip *gzip.Writer
	Manifest
}

// Pack begins an archive.
func Pack(w io.Writer) *Packer {
	zip, _ := gzip.NewWriterLevel(w, gzip.BestSpeed) // photos do not get smaller
	return &Packer{tar.NewWriter(zip), zip, Manifest{Format: format, Made: time.Now().UTC()}}
}

// Close packs the manifest.
func (p *Packer) Close() error {
	text, err := json.MarshalIndent(p.Manifest, "", " ")
	if err != nil {
		return err
	}
	if err := p.add(manifestFile, bytes.NewReader(text), int64(len(text))); err != nil {
		return err
	}
	return errors.Join(p.tar.Close(), p.zip.Close())
}

// File packs a file that nobody writes to.
func (p *Packer) File(name, path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	return p.add(name, f, info.Size())
}

// Small packs a small file that may be replaced meanwhile.
func (p *Packer) Small(name, path string) error {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxSmall+1))
	switch {
	case err != nil:
		return err
	case len(data) > maxSmall:
		return phrase.Wrong("backup-large", name, maxSmall>>20)
	}
	return p.add(name, bytes.NewReader(data), int64(len(data)))
}

func (p *Packer) add(name string, r io.Reader, size int64) error {
	if err := p.tar.WriteHeader(&tar.Header{Name: name, Size: size, Mode: 0o600, ModTime: p.Made, Format: tar.FormatPAX}); err != nil {
		return err
	}
	sum := sha256.New()
	if _, err := io.CopyN(io.MultiWriter(p.tar, sum), r, size); err != nil {
		return phrase.At(name, err)
	}
	p.Files = append(p.Files, Listed{name, size, hex.EncodeToString(sum.Sum(nil))})
	return nil
}
