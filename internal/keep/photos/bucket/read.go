package bucket

import (
	"cmp"
	"context"
	"io"
	"os"

	"github.com/minio/minio-go/v7"

	"netagauge/internal/keep/photos"
)

// Open reads the photo into a file of this computer that has no name any more, and holds
// it to its hash: what came over damaged is read again, and never given.
func (s *Store) Open(ctx context.Context, name string) (*os.File, error) {
	info, err := s.Stat(ctx, name)
	if err != nil {
		return nil, err
	}
	file, err := os.CreateTemp(s.work, "photo-*")
	if err != nil {
		return nil, err
	}
	if err = os.Remove(file.Name()); err == nil {
		err = s.try(ctx, info.Bytes, func(ctx context.Context) error { return s.read(ctx, name, file) })
	}
	if err == nil {
		_, err = file.Seek(0, 0)
	}
	if err != nil {
		file.Close()
		return nil, err
	}
	return file, nil
}

// read is one try, from the start.
func (s *Store) read(ctx context.Context, name string, to *os.File) error {
	if _, err := to.Seek(0, 0); err != nil {
		return err
	}
	if err := to.Truncate(0); err != nil {
		return err
	}
	from, info, _, err := minio.Core{Client: s.client}.GetObject(ctx, s.Bucket, s.key(kept, name), minio.GetObjectOptions{})
	if code(err) == minio.NoSuchKey {
		_, gone := s.look(ctx, name) // which a bare "not found" need not mean
		return cmp.Or(gone, err)
	}
	if err != nil {
		return err
	}
	defer from.Close()
	kept := photos.Arrived{Bytes: info.Size, SHA256: info.UserMetadata[sha256Key]}
	if kept.SHA256 == "" { // put there by somebody else
		n, err := io.Copy(to, from)
		if err == nil && n != info.Size {
			err = io.ErrUnexpectedEOF
		}
		return err
	}
	return kept.Check(io.TeeReader(from, to))
}
