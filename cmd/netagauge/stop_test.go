package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// A check that hears nothing, as in the middle of a decoder, ends soon after it
// was told to, and at once when told twice. It waits here for a pipe that is held
// open and nobody writes into.
func TestStops(t *testing.T) {
	dir := t.TempDir()
	program, pipe := filepath.Join(dir, "netagauge"), filepath.Join(dir, "photo.jpg")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		t.Fatalf("build: %v\n%s", err, out)
	}
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		signals []syscall.Signal
		within  time.Duration
		says    string
	}{
		"told once":  {[]syscall.Signal{syscall.SIGTERM}, grace + 3*time.Second, "stopped in the middle"},
		"told twice": {[]syscall.Signal{syscall.SIGINT, syscall.SIGINT}, grace - 500*time.Millisecond, ""},
	} {
		var said strings.Builder
		cmd := exec.Command(program, "check", pipe)
		cmd.Stderr = &said
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		hold := writeEnd(t, pipe)
		began := time.Now()
		for _, s := range c.signals {
			cmd.Process.Signal(s)
			time.Sleep(100 * time.Millisecond)
		}
		late := time.AfterFunc(30*time.Second, func() { cmd.Process.Kill() })
		cmd.Wait()
		late.Stop()
		hold.Close()
		if took := time.Since(began); took > c.within || !strings.Contains(said.String(), c.says) {
			t.Errorf("%s: it ended after %v and said %q", name, took, said.String())
		}
	}
}

// writeEnd opens the pipe for writing as soon as the program reads from it: before
// that a signal would find a program that still starts.
func writeEnd(t *testing.T, pipe string) *os.File {
	t.Helper()
	for range 600 {
		if f, err := os.OpenFile(pipe, os.O_WRONLY|syscall.O_NONBLOCK, 0); err == nil {
			return f
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Fatal("in a minute the program did not open the photo")
	return nil
}
