package worker

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"netagauge/internal/tell/report"
)

// Why a photo could not be measured. ErrNoWorker is no fault of the photo's.
var (
	ErrStopped  = errors.New("the worker stopped over the photo")
	ErrSlow     = errors.New("the worker took too long over the photo")
	ErrNoWorker = errors.New("a worker cannot be started")
)

// errUsedUp is an ErrSlow that a second try would only meet again.
var errUsedUp = fmt.Errorf("%w: all the processor time for one", ErrSlow)

var errAnother = errors.New("its answer is to another photo")

// startWall is how long a worker may take to say that it is ready.
const startWall = time.Minute

// maxPicture bounds an annotated picture; the usual one takes some 150 kB.
const maxPicture = 16 << 20

// process is one running worker. It belongs to one goroutine.
type process struct {
	cmd    *exec.Cmd
	in     io.WriteCloser
	out    io.ReadCloser
	last   tail
	photos int // answered so far
	ready
}

// self is the program as it is in memory, even if its file has been replaced.
const self = "/proc/self/exe"

// OwnCommand runs a worker for photos of the person who started the program.
var OwnCommand = []string{self, "worker", "--own"}

// start runs the command as a worker. The calling goroutine must stay on its
// thread for as long as the worker lives: the system ends the worker with that
// thread, and so with the server, however that ends.
func start(command, env []string) (*process, error) {
	p := &process{cmd: exec.Command(command[0], command[1:]...)}
	if command[0] == self {
		p.cmd.Args[0] = os.Args[0] // under which people know the program
	}
	p.cmd.Env = env
	p.cmd.Stderr = &p.last
	p.cmd.WaitDelay = time.Second
	p.cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL, Setpgid: true}
	var err error
	if p.in, err = p.cmd.StdinPipe(); err != nil {
		return nil, err
	}
	if p.out, err = p.cmd.StdoutPipe(); err != nil {
		return nil, err
	}
	if err := p.cmd.Start(); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoWorker, err)
	}
	late := time.AfterFunc(startWall, func() { p.cmd.Process.Kill() })
	defer late.Stop()
	if _, err := readFrame(p.out, &p.ready, 0); err != nil {
		state, said := p.end()
		return nil, fmt.Errorf("%w: %w (%v): %s", ErrNoWorker, err, state, said)
	}
	return p, nil
}

// ask sends one photo and waits for the answer, no longer than wall. After an
// error the process is of no more use.
func (p *process) ask(ctx context.Context, wall time.Duration, q request, photo io.Reader, size int64) (answer, []byte, error) {
	ctx, cancel := context.WithTimeout(ctx, wall)
	defer cancel()
	var ended atomic.Bool
	defer context.AfterFunc(ctx, func() {
		ended.Store(true)
		p.cmd.Process.Kill()
	})()
	var a answer
	sum := sha256.New()
	from := &source{r: io.TeeReader(photo, sum)}
	q.Nonce = rand.Text()
	err := writeFrame(p.in, q, from, size)
	if from.err != nil {
		return a, nil, from.err
	}
	var picture []byte
	if err == nil {
		picture, err = readFrame(p.out, &a, maxPicture)
	}
	if err == nil && a.To != to(q.Nonce, sum) {
		err = errAnother
	}
	if err == nil {
		p.photos++
		return a, picture, nil
	}
	if ended.Load() && !errors.Is(ctx.Err(), context.DeadlineExceeded) {
		return a, nil, ctx.Err()
	}
	return a, nil, p.autopsy(err, ended.Load())
}

// lastWords is how long a worker that broke off may take to end by itself.
const lastWords = 2 * time.Second

// autopsy says what a worker that broke off ended of.
func (p *process) autopsy(err error, killed bool) error {
	state, said := p.end()
	if strings.HasSuffix(said, overTime) {
		return errUsedUp
	}
	if killed {
		return ErrSlow
	}
	return fmt.Errorf("%w: %w (%v): %s", ErrStopped, err, state, said)
}

// end waits for a worker that broke off to end by itself, or ends it.
func (p *process) end() (*os.ProcessState, string) {
	p.in.Close()
	late := time.AfterFunc(lastWords, func() { p.cmd.Process.Kill() })
	p.cmd.Wait()
	late.Stop()
	return p.cmd.ProcessState, p.last.String()
}

// stop ends the process and waits for it; again, it does nothing.
func (p *process) stop() {
	p.in.Close()
	p.cmd.Process.Kill()
	p.cmd.Wait()
}

// source tells a photo that cannot be read from a worker that does not listen.
type source struct {
	r   io.Reader
	err error
}

func (s *source) Read(b []byte) (int, error) {
	n, err := s.r.Read(b)
	if err != nil && !errors.Is(err, io.EOF) {
		s.err = err
	}
	return n, err
}

// tail keeps the first words a worker says on its way out; the rest is stack.
type tail struct{ text []byte }

func (t *tail) Write(b []byte) (int, error) {
	t.text = append(t.text, b[:min(len(b), 400-len(t.text))]...)
	return len(b), nil
}

func (t *tail) String() string {
	first, _, _ := strings.Cut(strings.TrimSpace(string(t.text)), "\n")
	return report.Printable(first)
}
