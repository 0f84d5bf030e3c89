// Package bucket keeps photos in a bucket of any server that speaks S3, where several
// servers share them. A photo is one object of at most 60 MB, put by one request:
// whole or not at all. The server holds what it receives to the checksums sent along,
// and what is read back is held to the SHA-256 kept beside it before anybody sees it.
package bucket

import (
	"context"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"io/fs"
	"iter"
	"os"
	"strings"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"

	"netagauge/internal/keep/photos"
)

// Store is a bucket's photos.
type Store struct {
	Address
	client *minio.Client
	work   string // folder for photos that are read
	limits limits
}

// Folders of the bucket, below the prefix.
const (
	kept  = "photos"
	aside = "unclaimed"
)

// Open prepares the store at an address, with the secrets of the environment
// (AWS_ACCESS_KEY_ID, AWS_SECRET_ACCESS_KEY, AWS_SESSION_TOKEN); nothing is asked of
// the server before the first use. Photos that are read lie in the folder work
// meanwhile, without a name, or in the system's for "".
func Open(a Address, work string) (*Store, error) {
	if err := secrets(); err != nil {
		return nil, err
	}
	lookup := minio.BucketLookupPath // a server of one's own has no name for each bucket
	if a.Host == amazon {
		lookup = minio.BucketLookupDNS
	}
	client, err := minio.New(a.Host, &minio.Options{
		Creds: credentials.NewEnvAWS(), Secure: a.Secure, Region: a.Region, BucketLookup: lookup,
		Transport: transport(), MaxRetries: 1, // try does that
	})
	if err != nil {
		return nil, err
	}
	return &Store{a, client, work, usual}, nil
}

// Reach asks the server for a name: whether it is there, and lets us in.
func (s *Store) Reach(ctx context.Context) error {
	for _, err := range s.List(ctx, "") {
		return err
	}
	return nil
}

// sha256Key is where an object keeps its hash, as minio-go names it.
const sha256Key = "Sha256"

// Put sends the photo, again when it did not arrive whole or no answer came.
func (s *Store) Put(ctx context.Context, name string, a photos.Arrived) error {
	if err := errors.Join(photos.Named(name), ctx.Err()); err != nil {
		return err
	}
	file, err := os.Open(a.Path)
	if err != nil {
		return err
	}
	defer file.Close()
	if err := a.Check(file); err != nil {
		return err
	}
	sum, err := hex.DecodeString(a.SHA256)
	if err != nil {
		return err
	}
	checksum := base64.StdEncoding.EncodeToString(sum)
	options := minio.PutObjectOptions{
		DisableMultipart: true,
		SendContentMd5:   true, // which every server looks at
		UserMetadata:     map[string]string{sha256Key: a.SHA256, "X-Amz-Checksum-Sha256": checksum},
	}
	err = s.try(ctx, a.Bytes, func(ctx context.Context) error {
		if _, err := file.Seek(0, 0); err != nil {
			return err
		}
		done, err := s.client.PutObject(ctx, s.Bucket, s.key(kept, name), file, a.Bytes, options)
		if err == nil && done.ChecksumSHA256 != "" && done.ChecksumSHA256 != checksum {
			err = photos.ErrOther
		}
		return err
	})
	if err != nil {
		return err
	}
	return os.Remove(a.Path)
}

// Stat looks the photo up.
func (s *Store) Stat(ctx context.Context, name string) (info photos.Info, err error) {
	if err := photos.Named(name); err != nil {
		return info, err
	}
	err = s.try(ctx, 0, func(ctx context.Context) (err error) {
		info, err = s.look(ctx, name)
		return err
	})
	return info, err
}

// look asks for the list that begins with the name: a list is no answer that something
// on the way could have made up, as a bare "not found" may be.
func (s *Store) look(ctx context.Context, name string) (photos.Info, error) {
	key := s.key(kept, name)
	for o := range s.client.ListObjectsIter(ctx, s.Bucket, minio.ListObjectsOptions{Prefix: key, Recursive: true, MaxKeys: 1}) {
		if o.Err != nil {
			return photos.Info{}, o.Err
		}
		if o.Key == key {
			return photos.Info{Bytes: o.Size, Kept: o.LastModified}, nil
		}
		break
	}
	return photos.Info{}, errors.Join(&fs.PathError{Op: "look for", Path: name, Err: fs.ErrNotExist}, ctx.Err())
}

// Delete removes the object.
func (s *Store) Delete(ctx context.Context, name string) error {
	if err := photos.Named(name); err != nil {
		return err
	}
	return s.remove(ctx, name)
}

func (s *Store) remove(ctx context.Context, name string) error {
	return s.try(ctx, 0, func(ctx context.Context) error {
		return s.client.RemoveObject(ctx, s.Bucket, s.key(kept, name), minio.RemoveObjectOptions{})
	})
}

// List asks for a thousand names at a time. One answer that does not come ends the list
// with its error; go on from the last name.
func (s *Store) List(ctx context.Context, after string) iter.Seq2[string, error] {
	return func(yield func(string, error) bool) {
		prefix := s.key(kept, "")
		for {
			page, err := s.page(ctx, prefix, after)
			if err != nil {
				yield("", err)
				return
			}
			for _, name := range page {
				if !yield(name, nil) {
					return
				}
				after = name
			}
			if len(page) == 0 {
				return
			}
		}
	}
}

// pageNames is how many names a server puts into one answer, at most.
const pageNames = 1000

func (s *Store) page(ctx context.Context, prefix, after string) (names []string, err error) {
	options := minio.ListObjectsOptions{Prefix: prefix, Recursive: true, MaxKeys: pageNames}
	if after != "" {
		options.StartAfter = prefix + after
	}
	err = s.try(ctx, 0, func(ctx context.Context) error {
		names = nil
		for o := range s.client.ListObjectsIter(ctx, s.Bucket, options) {
			if o.Err != nil {
				return o.Err
			}
			names = append(names, strings.TrimPrefix(o.Key, prefix))
			if len(names) == pageNames {
				break
			}
		}
		return ctx.Err()
	})
	return names, err
}

// Aside copies the object into the bucket's other folder, at the server, and removes it.
func (s *Store) Aside(ctx context.Context, name string) error {
	if strings.Contains(name, "/") { // not held to a photo's name: List shows others
		return photos.Named(name)
	}
	err := s.try(ctx, 0, func(ctx context.Context) error {
		_, err := s.client.CopyObject(ctx, minio.CopyDestOptions{Bucket: s.Bucket, Object: s.key(aside, name)}, minio.CopySrcOptions{Bucket: s.Bucket, Object: s.key(kept, name)})
		return err
	})
	if err != nil {
		return err
	}
	return s.remove(ctx, name)
}
