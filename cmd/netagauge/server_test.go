package main

import (
	"bufio"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// server is the program serving a folder of its own, as a process of its own.
type server struct {
	base, passcode, code string // as it printed them
	data                 string // its folder
	process              *os.Process
}

// startServer starts the program, and reads what it prints first.
// When the test ends it must stop as told, having said nothing else.
func startServer(t *testing.T, roster string) server {
	t.Helper()
	names := filepath.Join(t.TempDir(), "roster.csv")
	if err := os.WriteFile(names, []byte(roster), 0o600); err != nil {
		t.Fatal(err)
	}
	return serveFolder(t, programFile(t), filepath.Join(t.TempDir(), "kitchen"), "--roster", names)
}

// programFile is the program: this test binary, which is it under its name
// (testscript.Main). To build it once more takes seconds.
func programFile(t *testing.T) string {
	t.Helper()
	program, err := exec.LookPath("netagauge")
	if err != nil {
		t.Fatal(err)
	}
	return program
}

func serveFolder(t *testing.T, program, data string, more ...string) (s server) {
	t.Helper()
	cmd := exec.Command(program, append([]string{"serve", "--data", data, "--listen", "127.0.0.1:0"}, more...)...)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	var said strings.Builder
	cmd.Stderr = &said
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	s.process, s.data = cmd.Process, data
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
