package worker

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/ticket"
	"os"
	"path/filepath"
	"testing"
	"time"

	"netagauge/internal/keep/intake"
)

// send puts one photo into the folder.
func send(t testing.TB, f *intake.Folder, owner string, told ticket.Ticket, data []byte) intake.Shot {
	t.Helper()
	s, err := f.Receive(t.Context(), intake.Shot{Owner: owner, Who: owner, Kind: intake.Class, Session: "Monday", Ticket: told, Name: "tray.jpg"}, bytes.NewReader(data))
	fatal.If(t, err)
	return s
}

// settle waits until nothing waits in the folder any more.
func settle(t testing.TB, f *intake.Folder) {
	t.Helper()
	changed := f.Watch(t.Context())
	for {
		n, err := f.Waiting(t.Context())
		fatal.If(t, err)
		if n == 0 {
			return
		}
		select {
		case <-changed:
		case <-time.After(time.Minute):
			t.Fatalf("%d photos still wait after a minute without any change", n)
		}
	}
}

// runFor runs the pool over the folder until the test ends.
func runFor(t testing.TB, f *intake.Folder, p *Pool) {
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() {
		defer close(done)
		Run(ctx, f, p, func(err error) { t.Log("told:", err) })
	}()
	t.Cleanup(func() { cancel(); <-done })
}

// Each photo ends as it should, each alone, whatever the others do.
func TestRun(t *testing.T) {
	f := folder4test(t)
	p := pool4test(t, "serve", Options{Workers: 2})
	whole := sample(t, "tray-laid.jpg")
	wrong := told()
	wrong.Thickness = "77:4"
	gone, changed := send(t, f, "gone", told(), append(bytes.Clone(whole), 1)), send(t, f, "changed", told(), append(bytes.Clone(whole), 2))
	for s, data := range map[string][]byte{gone.ID: nil, changed.ID: []byte("another photo")} {
		path := filepath.Join(f.Dir(), "photos", s+".jpg")
		fatal.If(t, os.Remove(path))
		if data == nil {
			continue
		}
		fatal.If(t, os.WriteFile(path, data, 0o600))
	}
	want := map[string]string{gone.ID: "failed photo-missing", changed.ID: "failed photo-missing"}
	want[send(t, f, "whole", told(), whole).ID] = "measured "
	want[send(t, f, "cut", told(), whole[:len(whole)/2]).ID] = "refused unreadable"
	want[send(t, f, "wrong", wrong, whole).ID] = "failed entered"
	runFor(t, f, p)
	settle(t, f)
	for id, want := range want {
		s, err := f.Shot(t.Context(), id)
		if got := fmt.Sprintf("%s %s", s.State, s.Code); err != nil || got != want || (len(s.Why) > 0) != (s.Code == intake.CodeEntered) {
			t.Errorf("photo of %q: %s (%v), want %s", s.Owner, got, s.Why, want)
		}
	}
}

// A photo that brings down every worker fails; the next is measured.
func TestRunGoesOnAfterAFailure(t *testing.T) {
	withoutRaceDetector(t)
	f := folder4test(t)
	bad := send(t, f, "bad", told(), deepPNG(t))
	good := send(t, f, "good", told(), sample(t, "tray-laid.jpg"))
	runFor(t, f, pool4test(t, "serve", Options{}, memoryEnv+"=500"))
	settle(t, f)
	for s, want := range map[string]intake.State{bad.ID: intake.Failed, good.ID: intake.Measured} {
		if got, err := f.Shot(t.Context(), s); err != nil || got.State != want {
			t.Errorf("photo of %q is %s (%v), want %s", got.Owner, got.State, got.Why, want)
		}
	}
}

// When no worker can be started, photos wait until one can.
func TestRunWaitsForWorkers(t *testing.T) {
	f := folder4test(t)
	s := send(t, f, "7", told(), sample(t, "tray-laid.jpg"))
	mark := filepath.Join(t.TempDir(), "mended")
	p := pool4test(t, "broken once", Options{}, markEnv+"="+mark)
	ctx, cancel := context.WithCancel(t.Context())
	troubles := make(chan error, 100)
	r := runner{kitchen: f, hands: p, pause: 100 * time.Millisecond, complain: func(err error) { troubles <- err }}
	done := make(chan struct{})
	go func() { defer close(done); r.run(ctx, f) }()
	defer func() { cancel(); <-done }()
	if err := <-troubles; !errors.Is(err, ErrNoWorker) {
		t.Errorf("trouble %v, want %v", err, ErrNoWorker)
	}
	settle(t, f)
	if got, err := f.Shot(t.Context(), s.ID); err != nil || got.State != intake.Measured {
		t.Errorf("shot is %s (%v), %v", got.State, got.Why, err)
	}
}
