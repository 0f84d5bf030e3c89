// Package postgrestest runs a PostgreSQL server of the tests' own: in a temporary folder,
// on a Unix socket there, with the settings that a server has by default, so that what
// was said to be kept is on the disk. One is started for each test binary that asks.
package postgrestest

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"runtime"
	"strconv"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"netagauge/internal/core/fatal"
)

// Server is a running PostgreSQL.
type Server struct {
	dir string              // of the cluster and its socket
	as  *syscall.Credential // who runs it: PostgreSQL refuses root

	running *exec.Cmd
	ended   chan struct{}
}

var (
	one       *Server
	oneErr    error
	starts    sync.Once
	schemas   atomic.Int64
	databases atomic.Int64
)

// Main runs the tests of a package and then stops the server that they started, for
// TestMain. Without it the server would outlive the test binary.
func Main(m *testing.M) {
	code := m.Run()
	if err := Stop(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = max(code, 1)
	}
	os.Exit(code)
}

// Stop stops the test binary's server, for who does not call Main.
func Stop() error {
	if one == nil {
		return nil
	}
	return one.end()
}

// Start gives the test binary's server, which Main stops.
func Start(t testing.TB) *Server {
	t.Helper()
	starts.Do(func() { one, oneErr = start() })
	if oneErr != nil {
		t.Fatalf("PostgreSQL does not start: %v (apt-get install postgresql)", oneErr)
	}
	return one
}

// Own starts a server for one test, which may stop it.
func Own(t testing.TB) *Server {
	t.Helper()
	s, err := start()
	if err != nil {
		t.Fatalf("PostgreSQL does not start: %v (apt-get install postgresql)", err)
	}
	t.Cleanup(func() {
		if err := s.end(); err != nil {
			t.Error(err)
		}
	})
	return s
}

// URL is where the server is reached.
func (s *Server) URL() string {
	return "postgres:///postgres?user=postgres&host=" + s.dir
}

// Database is where a new and empty database of the server is reached, which goes with it.
func (s *Server) Database(t testing.TB) string {
	t.Helper()
	name := fmt.Sprintf("test%d", databases.Add(1))
	s.Exec(t, `CREATE DATABASE `+name)
	return fmt.Sprintf("postgres:///%s?user=postgres&host=%s", name, s.dir)
}

// Schema is the name of a new and empty schema, which goes with the server.
func (s *Server) Schema(t testing.TB) string {
	t.Helper()
	name := fmt.Sprintf("site_test%d", schemas.Add(1))
	s.Exec(t, `CREATE SCHEMA `+name)
	return name
}

// Exec runs a statement on the server.
func (s *Server) Exec(t testing.TB, statement string) {
	t.Helper()
	ctx := context.Background() // a test's own is over when it is cleaned up after
	db, err := pgx.Connect(ctx, s.URL())
	fatal.If(t, err)
	defer db.Close(ctx)
	if _, err := db.Exec(ctx, statement); err != nil {
		t.Fatal(err)
	}
}

// Crash stops the server as a power cut would, but for what the disk was told.
func (s *Server) Crash(t testing.TB) {
	t.Helper()
	s.stop(syscall.SIGQUIT) // an immediate shutdown, in PostgreSQL's manual
}

// Again starts a server that was stopped.
func (s *Server) Again(t testing.TB) {
	t.Helper()
	fatal.If(t, s.up())
}

func start() (_ *Server, err error) {
	keepToOurselves()
	s := &Server{}
	if s.dir, err = os.MkdirTemp("", "pg-"); err != nil { // short: a socket's path has 107 bytes
		return nil, err
	}
	defer func() {
		if err != nil {
			os.RemoveAll(s.dir)
		}
	}()
	if os.Getuid() == 0 {
		if err := s.drop(); err != nil {
			return nil, err
		}
	}
	if err := s.run("initdb", "-D", s.data(), "-U", "postgres", "-A", "trust", "-E", "UTF8", "--locale=C", "--no-sync"); err != nil {
		return nil, err
	}
	return s, s.up()
}

// keepToOurselves keeps what this process was started with open, such as a lock, from the
// server.
func keepToOurselves() {
	open, _ := os.ReadDir("/proc/self/fd")
	for _, f := range open {
		if fd, err := strconv.Atoi(f.Name()); err == nil && fd > 2 {
			syscall.CloseOnExec(fd)
		}
	}
}

// drop has the server run as another user, who gets the folder.
func (s *Server) drop() error {
	who, err := user.Lookup("postgres")
	if err != nil {
		if who, err = user.Lookup("nobody"); err != nil {
			return err
		}
	}
	uid, err := strconv.ParseUint(who.Uid, 10, 32)
	if err != nil {
		return err
	}
	gid, err := strconv.ParseUint(who.Gid, 10, 32)
	if err != nil {
		return err
	}
	s.as = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
	return os.Chown(s.dir, int(uid), int(gid))
}

func (s *Server) data() string { return filepath.Join(s.dir, "data") }

// up runs the server as a child that ends with this process, however that ends.
func (s *Server) up() error {
	path, err := program("postgres")
	if err != nil {
		return err
	}
	c := exec.Command(path, "-D", s.data(), "-c", "listen_addresses=", "-c", "max_connections=200", "-c", "unix_socket_directories="+s.dir)
	if c.Stderr, err = os.OpenFile(filepath.Join(s.dir, "log"), os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600); err != nil {
		return err
	}
	c.Dir, c.SysProcAttr = s.dir, &syscall.SysProcAttr{Credential: s.as, Pdeathsig: syscall.SIGQUIT}
	started := make(chan error)
	s.running, s.ended = c, make(chan struct{})
	go func() {
		runtime.LockOSThread() // which the signal comes with the end of
		started <- c.Start()
		_ = c.Wait()
		close(s.ended)
	}()
	if err := <-started; err != nil {
		return err
	}
	for {
		db, err := pgx.Connect(context.Background(), s.URL())
		if err == nil {
			return db.Close(context.Background())
		}
		select {
		case <-s.ended:
			log, _ := os.ReadFile(filepath.Join(s.dir, "log"))
			return fmt.Errorf("it ended: %s", log)
		case <-time.After(20 * time.Millisecond):
		}
	}
}

func (s *Server) stop(how os.Signal) {
	_ = s.running.Process.Signal(how)
	<-s.ended
}

// end stops the server, if it runs, and removes all of it.
func (s *Server) end() error {
	if s.running != nil {
		s.stop(syscall.SIGINT) // a fast shutdown
	}
	return os.RemoveAll(s.dir)
}

// run runs one of PostgreSQL's programs, of the newest version that is installed.
func (s *Server) run(name string, args ...string) error {
	path, err := program(name)
	if err != nil {
		return err
	}
	c := exec.Command(path, args...)
	c.Dir, c.SysProcAttr = s.dir, &syscall.SysProcAttr{Credential: s.as}
	if out, err := c.CombinedOutput(); err != nil {
		return fmt.Errorf("%s: %w\n%s", name, err, out)
	}
	return nil
}

func program(name string) (string, error) {
	if path, err := exec.LookPath(name); err == nil {
		return path, nil
	}
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/" + name)
	if len(found) == 0 {
		return "", fmt.Errorf("%s is not installed", name)
	}
	return found[len(found)-1], nil
}
