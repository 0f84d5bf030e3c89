// Package worker measures photos in processes of their own, so that a file that
// brings down a decoder, eats all memory or never ends takes one process with it
// and fails alone. The processes are the same program, started with a hidden
// verb; requests and answers are frames on their standard input and output. They
// step back behind the server, live under limits of time and memory, end with
// the server however that ends, and are replaced after so many photos. A worker
// knows nothing of a tray but what its request says. The package keeps nothing:
// package intake does.
package worker

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"io"
	"os"
	"runtime"
	"sync"
	"time"

	"netagauge/internal/keep/intake"
	"netagauge/internal/tell/report"
)

// Options of a pool. What is zero takes the usual value.
type Options struct {
	Workers int           // photos in hand at once; usually one less than there are processors
	Photos  int           // that one process measures before it is replaced; usually 50
	Wall    time.Duration // for one photo by the clock; usually 90 seconds
	Command []string      // that runs Serve; usually this program with the verb "worker"
	Env     []string      // added to the little of the environment that workers get
}

func (o Options) filled() Options {
	if o.Workers == 0 {
		o.Workers = max(1, runtime.NumCPU()-1)
	}
	if o.Photos == 0 {
		o.Photos = 50
	}
	if o.Wall == 0 {
		o.Wall = 90 * time.Second
	}
	if o.Command == nil {
		o.Command = []string{self, "worker"}
	}
	return o
}

// Photo is one photo to be measured, and a second one of the same tray if there
// is one. What opens them is called for each try.
type Photo struct {
	Name   string // for the report
	Told   intake.Told
	Open   Opener
	Second *SecondPhoto
}

// SecondPhoto is taken from another place.
type SecondPhoto struct {
	Name string
	Open Opener
}

// Opener gives a photo's bytes and how many there are.
type Opener func() (io.ReadCloser, int64, error)

// Result of a photo that could be looked at; the report may say refused.
type Result struct {
	Report  report.Report
	Picture []byte // annotated JPEG, empty when no mat was found
}

// EnteredError says what was entered that does not fit the tray in the photo.
type EnteredError struct{ what string }

func (e EnteredError) Error() string { return e.what }

// MistakeError is a mistake of the program that it noticed itself.
type MistakeError struct{ what string }

func (e MistakeError) Error() string { return e.what }

// Pool is a number of worker processes, started when they are first needed. Its
// methods may be called from several goroutines.
type Pool struct {
	options Options
	jobs    chan job
	slots   sync.WaitGroup
	mu      sync.Mutex
	running map[int]*process // by slot
}

type job struct {
	ctx   context.Context
	photo Photo
	done  chan<- outcome
}

type outcome struct {
	result Result
	err    error
}

// NewPool makes a pool; Close ends it.
func NewPool(o Options) *Pool {
	p := &Pool{options: o.filled(), jobs: make(chan job), running: map[int]*process{}}
	for i := range p.options.Workers {
		p.slots.Go(func() { p.slot(i) })
	}
	return p
}

// Close waits for the photos in hand and ends the workers. Measure must not be
// called any more.
func (p *Pool) Close() {
	close(p.jobs)
	p.slots.Wait()
}

// Workers is how many photos are in hand at once.
func (p *Pool) Workers() int { return p.options.Workers }

// Measure measures one photo, as soon as a worker is free. A worker that stops
// or takes too long over it is replaced and the photo tried once more, unless it
// took all of the processor time; after that the error is ErrStopped or ErrSlow. Others are EnteredError, MistakeError,
// ErrNoWorker, that of Open, or ctx's.
func (p *Pool) Measure(ctx context.Context, photo Photo) (Result, error) {
	done := make(chan outcome, 1)
	select {
	case p.jobs <- job{ctx, photo, done}:
	case <-ctx.Done():
		return Result{}, ctx.Err()
	}
	o := <-done
	return o.result, o.err
}

// slot is the life of one worker and of those that take its place. It stays on
// one thread: see start.
func (p *Pool) slot(i int) {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	defer p.end(i)
	for j := range p.jobs {
		r, err := p.try(i, j)
		if (errors.Is(err, ErrStopped) || errors.Is(err, ErrSlow)) && !errors.Is(err, errUsedUp) {
			r, err = p.try(i, j)
		}
		if w := p.at(i); w != nil && w.photos >= p.options.Photos {
			p.end(i)
		}
		j.done <- outcome{r, err}
	}
}

func (p *Pool) at(i int) *process {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.running[i]
}

// end stops the slot's worker, if there is one.
func (p *Pool) end(i int) {
	w := p.at(i)
	if w == nil {
		return
	}
	p.mu.Lock()
	delete(p.running, i)
	p.mu.Unlock()
	w.stop()
}

func (p *Pool) try(i int, j job) (Result, error) {
	if err := j.ctx.Err(); err != nil {
		return Result{}, err
	}
	w := p.at(i)
	if w == nil {
		var err error
		if w, err = start(p.options.Command, p.env()); err != nil {
			return Result{}, err
		}
		p.mu.Lock()
		p.running[i] = w
		p.mu.Unlock()
	}
	q, photos, size, err := j.photo.open()
	if err != nil {
		return Result{}, err
	}
	defer photos.Close()
	a, picture, err := w.ask(j.ctx, p.options.Wall, q, photos, size)
	switch {
	case err != nil:
		p.end(i)
		return Result{}, err
	case a.Entered != "":
		return Result{}, EnteredError{a.Entered}
	case a.Report == nil:
		return Result{}, MistakeError{a.Mistake}
	}
	return Result{*a.Report, bytes.Clone(picture)}, nil
}

// open opens one photo, or both in a row.
func (p Photo) open() (q request, photos io.ReadCloser, size int64, err error) {
	q = request{Name: p.Name, Told: p.Told}
	photos, size, err = p.Open()
	if err != nil || p.Second == nil {
		return q, photos, size, err
	}
	second, more, err := p.Second.Open()
	if err != nil {
		photos.Close()
		return q, nil, 0, err
	}
	q.Second, q.First = cmp.Or(p.Second.Name, "second photo"), size
	return q, both{io.MultiReader(io.LimitReader(photos, size), second), photos, second}, size + more, nil
}

// both reads two photos in a row.
type both struct {
	io.Reader
	first, second io.Closer
}

func (b both) Close() error { return errors.Join(b.first.Close(), b.second.Close()) }

// env is what a worker needs of the environment to find its libraries.
func (p *Pool) env() []string {
	var out []string
	for _, name := range []string{"PATH", "LD_LIBRARY_PATH", "TMPDIR", "LANG"} {
		if v, there := os.LookupEnv(name); there {
			out = append(out, name+"="+v)
		}
	}
	return append(out, p.options.Env...)
}
