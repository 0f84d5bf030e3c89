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
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"

	"github.com/jackc/pgx/v5"
)

// Server is a running PostgreSQL.
type Server struct {
	dir string              // of the cluster and its socket
	as  *syscall.Credential // who runs it: PostgreSQL refuses root
}

var (
	one     *Server
	oneErr  error
	starts  sync.Once
	schemas atomic.Int64
)

// Main runs the tests of a package and then stops the server that they started, for
// TestMain. Without it the server would outlive the test binary.
func Main(m *testing.M) {
	code := m.Run()
	if one != nil {
		if err := one.end(); err != nil {
			fmt.Fprintln(os.Stderr, err)
			code = max(code, 1)
		}
	}
	os.Exit(code)
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

// Schema is the name of a new and empty schema, which goes when the test is over.
func (s *Server) Schema(t testing.TB) string {
	t.Helper()
	name := fmt.Sprintf("site_test%d", schemas.Add(1))
	s.exec(t, `CREATE SCHEMA `+name)
	t.Cleanup(func() { s.exec(t, `DROP SCHEMA IF EXISTS `+name+` CASCADE`) })
	return name
}

func (s *Server) exec(t testing.TB, statement string) {
	t.Helper()
	ctx := context.Background() // a test's own is over when it is cleaned up after
	db, err := pgx.Connect(ctx, s.URL())
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close(ctx)
	if _, err := db.Exec(ctx, statement); err != nil {
		t.Fatal(err)
	}
}

// Crash stops the server as a power cut would, but for what the disk was told.
func (s *Server) Crash(t testing.TB) {
	t.Helper()
	if err := s.run("pg_ctl", "stop", "-D", s.data(), "-m", "immediate", "-w"); err != nil {
		t.Fatal(err)
	}
}

// Again starts a server that was stopped.
func (s *Server) Again(t testing.TB) {
	t.Helper()
	if err := s.up(); err != nil {
		t.Fatal(err)
	}
}

func start() (_ *Server, err error) {
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

func (s *Server) up() error {
	return s.run("pg_ctl", "start", "-D", s.data(), "-w", "-l", filepath.Join(s.dir, "log"),
		"-o", "-c listen_addresses='' -c max_connections=200 -c unix_socket_directories='"+s.dir+"'")
}

// end stops the server, if it runs, and removes all of it.
func (s *Server) end() error {
	if s.run("pg_ctl", "status", "-D", s.data()) == nil {
		if err := s.run("pg_ctl", "stop", "-D", s.data(), "-m", "fast", "-w"); err != nil {
			return err
		}
	}
	return os.RemoveAll(s.dir)
}

// run runs one of PostgreSQL's programs, of the newest version that is installed.
func (s *Server) run(name string, args ...string) error {
	path, err := program(name)
	if err != nil {
		return err
	}
	out, err := os.CreateTemp("", "pg-said-*") // a pipe would wait for the server's end
	if err != nil {
		return err
	}
	defer os.Remove(out.Name())
	defer out.Close()
	c := exec.Command(path, args...)
	c.Dir, c.Stdout, c.Stderr = s.dir, out, out
	c.SysProcAttr = &syscall.SysProcAttr{Credential: s.as}
	if err := c.Run(); err != nil {
		text, _ := os.ReadFile(out.Name())
		log, _ := os.ReadFile(filepath.Join(s.dir, "log"))
		return fmt.Errorf("%s: %w\n%s%s", name, err, text, log)
	}
	return nil
}

func program(name string) (string, error) {
	if path, err := exec.LookPath(name); err == nil {
		return path, nil
	}
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/" + name)
	if len(found) == 0 {
		return "", fmt.Errorf("%s is not installed", strings.Join([]string{"PostgreSQL's", name}, " "))
	}
	return found[len(found)-1], nil
}
