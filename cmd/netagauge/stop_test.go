package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
)

// A check that hears nothing, as in the middle of a decoder, ends soon after it
// was told to, and at once when told twice. It waits here for a pipe that is held
// open and nobody writes into.
func TestStops(t *testing.T) {
	program, pipe := programFile(t), filepath.Join(t.TempDir(), "photo.jpg")
	fatal.If(t, syscall.Mkfifo(pipe, 0o600))
	for name, c := range map[string]struct {
		signal syscall.Signal
		times  int // a second signal may come before the first was heard
		within time.Duration
		says   string
	}{
		"told once":  {syscall.SIGTERM, 1, grace + 3*time.Second, "stopped in the middle"},
		"told twice": {syscall.SIGINT, 20, grace - 500*time.Millisecond, ""},
	} {
		var said strings.Builder
		cmd := exec.Command(program, "check", pipe)
		cmd.Stderr = &said
		fatal.If(t, cmd.Start())
		hold := writeEnd(t, pipe)
		ended := make(chan struct{})
		go func() { cmd.Wait(); close(ended) }()
		began := time.Now()
		for n, over := 0, false; !over; n++ {
			if n < c.times {
				cmd.Process.Signal(c.signal)
			}
			select {
			case <-ended:
				over = true
			case <-time.After(100 * time.Millisecond):
			}
			if time.Since(began) > 30*time.Second {
				cmd.Process.Kill()
			}
		}
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
