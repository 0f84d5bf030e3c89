// Package s3test runs servers that speak S3 for tests: one within the test, whose
// answers may be spoilt on the way, and one as a process, which may be killed.
package s3test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/johannesboyne/gofakes3"
	"github.com/johannesboyne/gofakes3/backend/s3mem"
)

// Bucket is the name of the bucket that every server here has.
const Bucket = "kitchen"

// secrets are nobody's, and the same for all tests of a binary, which may run at once.
var secrets = sync.OnceValue(func() error {
	return errors.Join(os.Setenv("AWS_ACCESS_KEY_ID", "invented"), os.Setenv("AWS_SECRET_ACCESS_KEY", "invented-secret"))
})

// Fake is a server within the test. Spoil, if it is set, sees each request first, and
// next answers it truly.
type Fake struct {
	URL      string
	Requests atomic.Int64
	spoil    atomic.Pointer[Spoil]
}

// Spoil answers a request in the place of the server, or by it.
type Spoil func(w http.ResponseWriter, r *http.Request, next http.Handler)

// Spoil spoils answers from now on; nil ends it.
func (f *Fake) Spoil(by Spoil) {
	if by == nil {
		f.spoil.Store(nil)
		return
	}
	f.spoil.Store(&by)
}

// StartFake starts one with an empty bucket.
func StartFake(t testing.TB) *Fake {
	t.Helper()
	if err := secrets(); err != nil {
		t.Fatal(err)
	}
	backend := s3mem.New()
	if err := backend.CreateBucket(Bucket); err != nil {
		t.Fatal(err)
	}
	next := gofakes3.New(backend).Server()
	f := &Fake{}
	server := httptest.NewUnstartedServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		f.Requests.Add(1)
		if by := f.spoil.Load(); by != nil {
			(*by)(w, r, next)
			return
		}
		next.ServeHTTP(w, r)
	}))
	server.Config.ErrorLog = log.New(io.Discard, "", 0) // it is spoilt on purpose
	server.Start()
	t.Cleanup(server.Close)
	f.URL = server.URL
	return f
}

// Address is that of the bucket at a server, for a prefix.
func Address(url, prefix string) string {
	return fmt.Sprintf("s3://%s/%s?endpoint=%s", Bucket, prefix, url)
}

// Process is a server as a process, on a folder.
type Process struct {
	URL  string
	Dir  string
	port string
	run  *exec.Cmd
}

// version of the server that runs as a process.
const version = "v1.8.0"

// program is its binary: where the system has none it is built once for this user.
func program(t testing.TB) string {
	t.Helper()
	if path, err := exec.LookPath("versitygw"); err == nil {
		return path
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(cache, "netagauge", "versitygw-"+version)
	if _, err := os.Stat(path); err == nil {
		return path
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	lock, err := os.Create(path + ".lock") // one test binary builds it, others wait
	if err != nil {
		t.Fatal(err)
	}
	defer lock.Close()
	if err := syscall.Flock(int(lock.Fd()), syscall.LOCK_EX); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(path); err == nil {
		return path
	}
	made, err := os.MkdirTemp(filepath.Dir(path), "new")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(made)
	build := exec.Command("go", "install", "github.com/versity/versitygw/cmd/versitygw@"+version)
	build.Env = append(os.Environ(), "GOBIN="+made, "GOFLAGS=", "CGO_ENABLED=0")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("a server of S3 for the tests cannot be built: %v\n%s", err, out)
	}
	if err := os.Rename(filepath.Join(made, "versitygw"), path); err != nil {
		t.Fatal(err)
	}
	return path
}

// StartProcess starts one with an empty bucket, stopped at the test's end.
func StartProcess(t testing.TB) *Process {
	t.Helper()
	if err := secrets(); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, Bucket), 0o755); err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	p := &Process{URL: "http://" + l.Addr().String(), Dir: dir, port: l.Addr().String()}
	l.Close()
	p.Start(t)
	t.Cleanup(p.Kill)
	return p
}

// Start starts it, also after Kill, and waits until it answers.
func (p *Process) Start(t testing.TB) {
	t.Helper()
	p.run = exec.Command(program(t), "--port", p.port, "--quiet", "posix", p.Dir)
	p.run.Env = append(os.Environ(), "ROOT_ACCESS_KEY_ID="+os.Getenv("AWS_ACCESS_KEY_ID"), "ROOT_SECRET_ACCESS_KEY="+os.Getenv("AWS_SECRET_ACCESS_KEY"))
	if err := p.run.Start(); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithTimeout(context.Background(), 2*time.Minute)
	defer stop()
	for {
		if c, err := new(net.Dialer).DialContext(ctx, "tcp", p.port); err == nil {
			c.Close()
			return
		}
		if ctx.Err() != nil {
			t.Fatal("the server of S3 does not answer")
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// Kill ends it at once, as a failure of power would.
func (p *Process) Kill() {
	if p.run != nil {
		p.run.Process.Kill()
		p.run.Wait()
		p.run = nil
	}
}
