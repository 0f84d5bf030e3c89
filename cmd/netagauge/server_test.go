package main

import (
	"bufio"
	"io"
	"log"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/photos/s3test"
	"netagauge/internal/keep/postgrestest"
)

// server is the program serving a record of its own, as a process of its own or as two.
type server struct {
	base, passcode, code string      // as it printed them
	record               []string    // options that say where its record lies
	process              *os.Process // the first
}

// backEnd starts the program on an empty record of a kind, with a roster.
type backEnd func(t *testing.T, roster string) server

// startServer starts the program on a data folder and reads what it prints first. When
// the test ends it must stop as told, having said nothing else.
func startServer(t *testing.T, roster string) server {
	t.Helper()
	return serveRecord(t, programFile(t), []string{"--data", filepath.Join(t.TempDir(), "kitchen")}, "--roster", rosterFile(t, roster))
}

// startTwo starts two servers of one record in a database and a bucket, which are asked
// in turn, request by request: what one was told the other must know.
func startTwo(t *testing.T, roster string) server {
	t.Helper()
	record := []string{"--database", postgrestest.Start(t).Database(t), "--photos", s3test.Address(s3test.StartFake(t).URL, "trays")}
	program := programFile(t)
	first := serveRecord(t, program, record, "--roster", rosterFile(t, roster))
	second := serveRecord(t, program, record)
	first.base = inTurn(t, first.base, second.base)
	return first
}

// inTurn is an address at which servers are asked in turn.
func inTurn(t *testing.T, servers ...string) string {
	t.Helper()
	var asked atomic.Int64
	web := httptest.NewServer(&httputil.ReverseProxy{ErrorLog: log.New(io.Discard, "", 0), Rewrite: func(r *httputil.ProxyRequest) {
		to, err := url.Parse(servers[asked.Add(1)%int64(len(servers))])
		if err != nil {
			t.Error(err)
			return
		}
		r.SetURL(to)
		r.Out.Host = r.In.Host
	}})
	t.Cleanup(web.Close)
	return web.URL
}

func rosterFile(t *testing.T, roster string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "roster.csv")
	fatal.If(t, os.WriteFile(path, []byte(roster), 0o600))
	return path
}

// programFile is the program: this test binary, which is it under its name
// (testscript.Main). To build it once more takes seconds.
func programFile(t *testing.T) string {
	t.Helper()
	program, err := exec.LookPath("netagauge")
	fatal.If(t, err)
	return program
}

func serveRecord(t *testing.T, program string, record []string, more ...string) (s server) {
	t.Helper()
	cmd := exec.Command(program, append(append([]string{"serve", "--listen", "127.0.0.1:0"}, record...), more...)...)
	out, err := cmd.StdoutPipe()
	fatal.If(t, err)
	var said strings.Builder
	cmd.Stderr = &said
	fatal.If(t, cmd.Start())
	s.process, s.record = cmd.Process, record
	t.Cleanup(func() {
		cmd.Process.Signal(syscall.SIGINT)
		err, rest := cmd.Wait(), said.String()
		if strings.Contains(rest, "classes are summed up, once") { // of a long history
			_, rest, _ = strings.Cut(rest, "\n")
		}
		if err != nil || rest != "" {
			t.Errorf("the server ended with %v and said:\n%s", err, rest)
		}
	})
	for lines := bufio.NewScanner(out); lines.Scan(); {
		line := lines.Text()
		if _, after, ok := strings.Cut(line, "The pages are at "); ok {
			s.base = after
		}
		if _, after, ok := strings.Cut(line, "passcode "); ok && s.passcode == "" {
			s.passcode = after
		}
		if _, after, ok := strings.Cut(line, "Class code: "); ok {
			s.code = after
		}
		if strings.HasPrefix(line, "Ctrl-C") {
			return s
		}
	}
	t.Fatalf("the server did not start:\n%s", &said)
	return s
}
