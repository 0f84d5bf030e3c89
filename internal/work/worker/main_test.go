package worker

import (
	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/work/record"

	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"netagauge/internal/judge/ticket"

	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/intake"
)

// workerEnv makes this test binary a worker of the named sort, with limits of
// so many MB and seconds.
const workerEnv, memoryEnv, cpuEnv, markEnv = "NETAGAUGE_TEST_WORKER", "NETAGAUGE_TEST_MB", "NETAGAUGE_TEST_CPU", "NETAGAUGE_TEST_MARK"

func TestMain(m *testing.M) {
	sort, dir := os.Getenv(workerEnv), os.Getenv(serverEnv)
	var err error
	switch {
	case sort != "":
		err = workAs(sort)
	case dir != "":
		err = killedServer(dir)
	case os.Getenv(roleEnv) != "":
		err = play(os.Getenv(roleEnv))
	case os.Getenv(drainEnv) != "":
		err = drainer(os.Getenv(drainEnv))
	default:
		os.Exit(m.Run())
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func number(env string) uint64 {
	n, _ := strconv.ParseUint(os.Getenv(env), 10, 64)
	return n
}

func workAs(sort string) error {
	l := Limits{Memory: number(memoryEnv) << 20, CPU: time.Duration(number(cpuEnv)) * time.Second, Nice: 10}
	serve := func() error { return Serve(context.Background(), os.Stdin, os.Stdout, l) }
	if sort == "serve" {
		return serve()
	}
	mark := os.Getenv(markEnv)
	if _, err := os.Stat(mark); strings.HasSuffix(sort, " once") && err == nil {
		return serve()
	}
	if mark != "" {
		f, err := os.OpenFile(mark, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
		if err != nil {
			return err
		}
		fmt.Fprintln(f, os.Getpid())
		f.Close()
	}
	if sort == "own" { // as check limits itself
		if err := l.Set(func() { fmt.Println("over"); os.Exit(3) }); err != nil {
			return err
		}
		if err := l.AllowPhoto(); err != nil {
			return err
		}
		for n := 0; ; n++ {
		}
	}
	switch sort {
	case "quick":
		return quickWorker()
	case "panic":
		return Serve(faulty{context.Background()}, os.Stdin, os.Stdout, l)
	}
	if err := l.set(); err != nil {
		return err
	}
	if err := l.AllowPhoto(); err != nil {
		return err
	}
	switch sort {
	case "broken", "broken once":
		return fmt.Errorf("a library is missing")
	case "mute":
		io.WriteString(os.Stdout, "\x1b[2Jthis is no frame, but long enough to be read as one")
		select {}
	}
	if err := writeFrame(os.Stdout, ready{}, strings.NewReader(""), 0); err != nil {
		return err
	}
	var q request
	if _, err := readFrame(os.Stdin, &q, 64<<20); err != nil {
		return err
	}
	switch sort {
	case "die", "die once":
		syscall.Kill(os.Getpid(), syscall.SIGABRT)
		select {}
	case "hang":
		select {}
	case "spin":
		for n := 0; ; n++ {
		}
	case "eat":
		var all [][]byte
		for {
			all = append(all, bytes.Repeat([]byte{1}, 16<<20))
			if len(all) > 1<<16 {
				return nil // no limit held it
			}
		}
	case "another":
		return writeFrame(os.Stdout, answer{To: to(q.Nonce, sha256.New()), Entered: phrase.Named("as-kept", "of another photo")}, strings.NewReader(""), 0)
	case "babble":
		io.WriteString(os.Stdout, "\x1b[2Jthis is no frame, but long enough to be read as one")
		select {}
	}
	return fmt.Errorf("there is no worker of the sort %q", sort)
}

// faulty is a context that lets the measurement fail in its midst, as a mistake of
// the program's would: inspect.Tray asks it whether to stop.
type faulty struct{ context.Context }

func (faulty) Err() error { panic("index out of range") }

// pool4test is a pool of this test binary's workers of the sort.
func pool4test(t testing.TB, sort string, o Options, env ...string) *Pool {
	t.Helper()
	self, err := os.Executable()
	fatal.If(t, err)
	o.Command = []string{self}
	o.Env = append(env, workerEnv+"="+sort)
	if o.Workers == 0 {
		o.Workers = 1
	}
	p := NewPool(o)
	t.Cleanup(p.Close)
	return p
}

func told() ticket.Ticket { return ticket.Ticket{Standard: standard.Default()} }

func sample(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "..", "testdata", "photos", name))
	fatal.If(t, err)
	return data
}

func trayOf(data []byte) record.Tray {
	return record.Tray{First: record.Bytes("tray.jpg", data), Ticket: told()}
}

// folder4test is a data folder with one class.
func folder4test(t testing.TB) *intake.Folder {
	t.Helper()
	f, err := intake.Open(t.Context(), filepath.Join(t.TempDir(), "kitchen"), "v1")
	fatal.If(t, err)
	t.Cleanup(func() { f.Close() })
	f.Limits.Free = 0
	fatal.If(t, f.SetSession(t.Context(), intake.Session{Kind: intake.Class, Name: "Monday", HeldOn: time.Now(), Ticket: told()}))
	return f
}
