package bucket

import (
	"context"
	"crypto/tls"
	"errors"
	"io/fs"
	"math/rand/v2"
	"net"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/minio/minio-go/v7"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/photos"
)

// limits bound what is waited for.
type limits struct {
	patience time.Duration // after which nothing is tried again
	answer   time.Duration // for one answer, and
	pace     int64         // bytes in a second, at least, for what goes over
	pause    time.Duration // before the first further try; doubled from then on
}

// usual limits: who sends a photo is told within half a minute to send it again later.
// Our setting.
var usual = limits{patience: 20 * time.Second, answer: 10 * time.Second, pace: 1 << 20, pause: 200 * time.Millisecond}

const (
	longestPause = 2 * time.Second
	otherTries   = 3 // of what comes over as another photo, which it may be in the store
)

// try does something that moves so many bytes until it goes well, the server says that
// it never will, or patience is at its end. What is done may be done twice.
func (s *Store) try(ctx context.Context, bytes int64, do func(context.Context) error) error {
	ends := time.Now().Add(s.limits.patience)
	pause, other := s.limits.pause, 0
	for {
		err := s.once(ctx, bytes, do)
		if errors.Is(err, photos.ErrOther) {
			other++
		}
		switch {
		case err == nil:
			return nil
		case ctx.Err() != nil:
			return ctx.Err()
		case final(err) || other == otherTries:
			return plain(err)
		case time.Now().Add(pause).After(ends):
			return photos.ErrAway.Since(err)
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(pause/2 + rand.N(pause/2)): // many begin again, not all at once
		}
		pause = min(2*pause, longestPause)
	}
}

func (s *Store) once(ctx context.Context, bytes int64, do func(context.Context) error) error {
	long := s.limits.answer + time.Duration(bytes/s.limits.pace)*time.Second
	ctx, done := context.WithTimeout(ctx, long)
	defer done()
	return do(ctx)
}

// never are a server's answers that stay the same however often one asks.
var never = []string{minio.NoSuchBucket, minio.AccessDenied, minio.InvalidBucketName, "InvalidAccessKeyId", "SignatureDoesNotMatch", "PermanentRedirect", "AuthorizationHeaderMalformed", "MethodNotAllowed", "NotImplemented", "EntityTooLarge", "QuotaExceeded"}

// final is what is no better a moment later: the disk of this computer, or a no.
func final(err error) bool {
	var disk *fs.PathError
	return errors.As(err, &disk) || slices.Contains(never, code(err))
}

// code is the word in a server's answer, empty for no answer.
func code(err error) string {
	var answer minio.ErrorResponse
	if errors.As(err, &answer) {
		return answer.Code
	}
	return ""
}

// plain says what a server refused.
func plain(err error) error {
	var answer minio.ErrorResponse
	if errors.As(err, &answer) {
		return phrase.Wrong("s3-refuses", answer.Code).For(err)
	}
	return err
}

// sane passes on what a server of S3 answers, and not what something on the way does,
// such as a proxy while the server is away: its bare "not found" would say that a photo
// or the bucket is gone, its page of welcome that a photo was put.
type sane struct{ http.RoundTripper }

func (s sane) RoundTrip(r *http.Request) (*http.Response, error) {
	answer, err := s.RoundTripper.RoundTrip(r)
	if err != nil {
		return nil, err
	}
	kind := answer.Header.Get("Content-Type")
	well := answer.StatusCode < 300
	if well && strings.HasPrefix(kind, "text/html") || !well && !strings.Contains(kind, "xml") {
		answer.Body.Close()
		return nil, errors.New(answer.Status)
	}
	return answer, nil
}

// transport is minio-go's with shorter waits: the server is near.
func transport() http.RoundTripper {
	return sane{&http.Transport{
		Proxy:                 http.ProxyFromEnvironment,
		DialContext:           (&net.Dialer{Timeout: 5 * time.Second, KeepAlive: 30 * time.Second}).DialContext,
		MaxIdleConnsPerHost:   16,
		IdleConnTimeout:       time.Minute,
		TLSHandshakeTimeout:   5 * time.Second,
		ResponseHeaderTimeout: time.Minute, // once all is sent; try is stricter
		DisableCompression:    true,        // a photo is what its hash says
		TLSClientConfig:       &tls.Config{MinVersion: tls.VersionTLS12},
	}}
}
