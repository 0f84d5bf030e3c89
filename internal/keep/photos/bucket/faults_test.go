package bucket

import (
	"bytes"
	"context"
	"errors"
	"io"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/photos"
	"netagauge/internal/keep/photos/photostest"
	"netagauge/internal/keep/photos/s3test"
)

// quick are limits for a test that waits for them.
var quick = limits{patience: 400 * time.Millisecond, answer: 150 * time.Millisecond, pace: 1 << 30, pause: 10 * time.Millisecond}

func spoilt(t *testing.T) (*s3test.Fake, photostest.Bench) {
	f := s3test.StartFake(t)
	b := bench(t, s3test.Address(f.URL, "k"), 0)
	b.Store.(*Store).limits = quick
	return f, b
}

// cut ends the connection without an answer.
func cut(w http.ResponseWriter) { panic(http.ErrAbortHandler) }

// status answers without a word, as a proxy does.
func status(code int) s3test.Spoil {
	return func(w http.ResponseWriter, r *http.Request, _ http.Handler) {
		io.Copy(io.Discard, r.Body)
		w.WriteHeader(code)
	}
}

func said(code int, word string) s3test.Spoil {
	return func(w http.ResponseWriter, r *http.Request, _ http.Handler) {
		io.Copy(io.Discard, r.Body)
		w.Header().Set("Content-Type", "application/xml")
		w.WriteHeader(code)
		io.WriteString(w, `<?xml version="1.0"?><Error><Code>`+word+`</Code><Message>so be it</Message></Error>`)
	}
}

// some faults and how a server comes to have them.
var some = map[string]s3test.Spoil{
	"500":               status(500),
	"503 SlowDown":      said(503, "SlowDown"),
	"500 InternalError": said(500, "InternalError"),
	"200 and no sense": func(w http.ResponseWriter, r *http.Request, _ http.Handler) {
		io.Copy(io.Discard, r.Body)
		io.WriteString(w, "<html>welcome</html>")
	},
	"bare 404":    status(404),
	"cut at once": func(w http.ResponseWriter, _ *http.Request, _ http.Handler) { cut(w) },
	"cut within the body": func(w http.ResponseWriter, r *http.Request, next http.Handler) {
		io.CopyN(io.Discard, r.Body, 1000)
		half(w, r, next)
	},
	"answer lost": func(w http.ResponseWriter, r *http.Request, next http.Handler) {
		next.ServeHTTP(httptest.NewRecorder(), r)
		cut(w)
	},
	"body changed": changed,
	"never answers": func(_ http.ResponseWriter, r *http.Request, _ http.Handler) {
		io.Copy(io.Discard, r.Body)
		<-r.Context().Done()
	},
}

// half answers a request for a photo with half of it.
func half(w http.ResponseWriter, r *http.Request, next http.Handler) {
	if r.Method == http.MethodGet {
		whole := httptest.NewRecorder()
		next.ServeHTTP(whole, r)
		for k, v := range whole.Header() {
			w.Header()[k] = v
		}
		w.Write(whole.Body.Bytes()[:whole.Body.Len()/2])
		w.(http.Flusher).Flush()
	}
	cut(w)
}

// changed spoils a byte on its way, to the server or from it; lists stay as they are.
func changed(w http.ResponseWriter, r *http.Request, next http.Handler) {
	if r.Method == http.MethodPut {
		body, _ := io.ReadAll(r.Body)
		body[len(body)/2] ^= 1
		r.Body = io.NopCloser(bytes.NewReader(body))
		next.ServeHTTP(w, r)
		return
	}
	answer := httptest.NewRecorder()
	next.ServeHTTP(answer, r)
	body := answer.Body.Bytes()
	if r.URL.Query().Get("list-type") == "" && len(body) > 0 {
		body[len(body)/2] ^= 1
	}
	for k, v := range answer.Header() {
		w.Header()[k] = v
	}
	w.WriteHeader(answer.Code)
	w.Write(body)
}

// first spoils so many requests of a kind.
func first(n int, method string, by s3test.Spoil) s3test.Spoil {
	var left atomic.Int64
	left.Store(int64(n))
	return func(w http.ResponseWriter, r *http.Request, next http.Handler) {
		if (method == "" || r.Method == method) && left.Add(-1) >= 0 {
			by(w, r, next)
			return
		}
		next.ServeHTTP(w, r)
	}
}

// Whatever happens to two requests, the third goes well, and so does what was asked.
func TestTriedAgain(t *testing.T) {
	data := photostest.Random(1, 50_000)
	for name, by := range some {
		t.Run(name, func(t *testing.T) {
			f, b := spoilt(t)
			b.Store.(*Store).limits.patience = 10 * time.Second
			f.Spoil(first(2, http.MethodPut, by))
			if err := b.Store.Put(t.Context(), "a.jpg", b.Arrive(t, data)); err != nil {
				t.Fatalf("put: %v", err)
			}
			f.Spoil(nil)
			photostest.Holds(t, b.Store, "a.jpg", data)
			f.Spoil(first(2, http.MethodGet, by))
			photostest.Holds(t, b.Store, "a.jpg", data)
			f.Spoil(first(1, http.MethodGet, by))
			if got := photostest.Names(t, b.Store, ""); len(got) != 1 {
				t.Errorf("listed are %v", got)
			}
			f.Spoil(first(2, http.MethodDelete, by))
			if err := b.Store.Delete(t.Context(), "a.jpg"); err != nil {
				t.Errorf("delete: %v", err)
			}
		})
	}
}

// What goes on says that the store is away, within the time that is waited, and leaves
// what was there; a photo that is there is never said to be missing.
func TestAway(t *testing.T) {
	before, data := photostest.Random(2, 40_000), photostest.Random(3, 50_000)
	for name, by := range some {
		t.Run(name, func(t *testing.T) {
			f, b := spoilt(t)
			fatal.If(t, b.Store.Put(t.Context(), "before.jpg", b.Arrive(t, before)))
			f.Spoil(by)
			a := b.Arrive(t, data)
			begun := time.Now()
			err := b.Store.Put(t.Context(), "new.jpg", a)
			if !errors.Is(err, photos.ErrAway) || time.Since(begun) > 30*time.Second {
				t.Errorf("put: %v after %v", err, time.Since(begun))
			}
			_, err = b.Store.Open(t.Context(), "before.jpg")
			if errors.Is(err, fs.ErrNotExist) || !errors.Is(err, photos.ErrAway) && !errors.Is(err, photos.ErrOther) {
				t.Errorf("open: %v", err)
			}
			if _, err = b.Store.Stat(t.Context(), "before.jpg"); errors.Is(err, fs.ErrNotExist) {
				t.Errorf("stat: %v", err)
			}
			f.Spoil(nil)
			photostest.Holds(t, b.Store, "before.jpg", before)
			if name == "answer lost" {
				photostest.Holds(t, b.Store, "new.jpg", data) // whole, as Put says it may be
			} else {
				photostest.Holds(t, b.Store, "new.jpg", nil)
			}
			if _, err := os.Stat(a.Path); err != nil {
				t.Errorf("the arrived photo is gone: %v", err)
			}
		})
	}
}

// A photo that is damaged in the store is told from one that is away, and not asked for
// again and again.
func TestDamagedInTheStore(t *testing.T) {
	f, b := spoilt(t)
	fatal.If(t, b.Store.Put(t.Context(), "a.jpg", b.Arrive(t, photostest.Random(4, 9000))))
	f.Spoil(changed)
	f.Requests.Store(0)
	if _, err := b.Store.Open(t.Context(), "a.jpg"); !errors.Is(err, photos.ErrOther) || f.Requests.Load() > 1+otherTries {
		t.Errorf("%v after %d requests", err, f.Requests.Load())
	}
	if left, _ := filepath.Glob(filepath.Join(b.Store.(*Store).work, "*")); len(left) > 0 {
		t.Errorf("left are %v", left)
	}
}

// A server's no is told at once.
func TestRefused(t *testing.T) {
	for _, word := range []string{"NoSuchBucket", "AccessDenied", "InvalidAccessKeyId", "SignatureDoesNotMatch"} {
		f, b := spoilt(t)
		f.Spoil(said(403, word))
		f.Requests.Store(0)
		err := b.Store.Put(t.Context(), "a.jpg", b.Arrive(t, []byte("a")))
		if err == nil || !strings.Contains(err.Error(), "refuses ("+word+")") || f.Requests.Load() != 1 {
			t.Errorf("%s: %v after %d requests", word, err, f.Requests.Load())
		}
		if _, err := b.Store.Open(t.Context(), "a.jpg"); errors.Is(err, fs.ErrNotExist) || !strings.Contains(err.Error(), word) {
			t.Errorf("%s, open: %v", word, err)
		}
		if err := b.Store.(*Store).Reach(t.Context()); err == nil || !strings.Contains(err.Error(), word) {
			t.Errorf("%s, reach: %v", word, err)
		}
	}
}

// A wait ends with its context.
func TestStoppedWhileAway(t *testing.T) {
	f, b := spoilt(t)
	b.Store.(*Store).limits.patience = time.Minute
	f.Spoil(status(503))
	ctx, stop := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer stop()
	if err := b.Store.Put(ctx, "a.jpg", b.Arrive(t, []byte("a"))); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("put: %v", err)
	}
}

// The process is killed and comes back while a photo is being put: it arrives. Killed
// for longer, it is refused, and what was put before is there.
func TestGoneForAWhile(t *testing.T) {
	p := s3test.StartProcess(t)
	b := bench(t, s3test.Address(p.URL, "k"), 0)
	kept := photostest.Random(5, 300_000)
	fatal.If(t, b.Store.Put(t.Context(), "kept.jpg", b.Arrive(t, kept)))
	p.Kill()
	b.Store.(*Store).limits = quick
	if err := b.Store.Put(t.Context(), "refused.jpg", b.Arrive(t, kept)); !errors.Is(err, photos.ErrAway) {
		t.Errorf("put: %v", err)
	}
	b.Store.(*Store).limits = usual
	done := make(chan error)
	a := b.Arrive(t, kept)
	go func() { done <- b.Store.Put(t.Context(), "waited.jpg", a) }()
	time.Sleep(time.Second)
	p.Start(t)
	if err := <-done; err != nil {
		t.Errorf("put while it came back: %v", err)
	}
	for name, want := range map[string][]byte{"kept.jpg": kept, "refused.jpg": nil, "waited.jpg": kept} {
		photostest.Holds(t, b.Store, name, want)
	}
}
