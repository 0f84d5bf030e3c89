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
	"context"
	"errors"
	"netagauge/internal/work/record"
	"os"
	"runtime"
	"slices"
	"sync"
	"time"
)

// Options of a pool. What is zero takes the usual value.
type Options struct {
	Workers int                                         // photos in hand at once; usually one less than there are processors
	Photos  int                                         // that one process measures before it is replaced; usually 50
	Wall    time.Duration                               // for one photo by the clock; usually 90 seconds
	Command []string                                    // that runs Serve; usually this program with the verb "worker"
	Env     []string                                    // added to the little of the environment that workers get
	Ended   func(site, code string, took time.Duration) // hears of each photo of the queue: no code where it was measured; may be nil
	Killed  func(why string)                            // hears of each process that stopped, or was ended as too slow; may be nil
	Lacking func(string)                                // is told once what of the workers' sandbox this kernel lacks; may be nil
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

// Pool is a number of worker processes, started when they are first needed. Its
// methods may be called from several goroutines.
type Pool struct {
	Measurer
	options Options
	jobs    chan job
	quit    chan struct{}
	slots   sync.WaitGroup
	mu      sync.Mutex
	running map[int]*process // by slot
	failed  error            // of the last start
	lacking sync.Once
}

// job is one request with the photos that it is about.
type job struct {
	ctx           context.Context
	first, second record.Photo
	request       request
	done          chan<- outcome
}

type outcome struct {
	answer  answer
	picture []byte
	err     error
}

// NewPool makes a pool; Close ends it.
func NewPool(o Options) *Pool {
	p := &Pool{options: o.filled(), jobs: make(chan job), quit: make(chan struct{}), running: map[int]*process{}}
	p.Measurer = p.do
	for i := range p.options.Workers {
		p.slots.Go(func() { p.slot(i) })
	}
	return p
}

// Close waits for the photos in hand and ends the workers; who asks for more gets
// ErrNoWorker. It must be called once.
func (p *Pool) Close() {
	close(p.quit)
	p.slots.Wait()
}

// Workers is how many photos are in hand at once.
func (p *Pool) Workers() int { return p.options.Workers }

// do has one request answered, as soon as a worker is free. A worker that stops or
// takes too long over it is replaced and the request tried once more, unless it took
// all of the processor time; after that the error is ErrStopped or ErrSlow.
func (p *Pool) do(ctx context.Context, first, second record.Photo, q request) (answer, []byte, error) {
	done := make(chan outcome, 1)
	select {
	case p.jobs <- job{ctx, first, second, q, done}:
	case <-p.quit:
		return answer{}, nil, ErrNoWorker
	case <-ctx.Done():
		return answer{}, nil, ctx.Err()
	}
	o := <-done
	return o.answer, o.picture, o.err
}

// slot is the life of one worker and of those that take its place. It stays on
// one thread: see start.
func (p *Pool) slot(i int) {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	defer p.end(i)
	for {
		select {
		case <-p.quit:
			return
		case j := <-p.jobs:
			j.done <- p.one(i, j)
		}
	}
}

// one answers one request, in a fresh worker once more if the first one broke off.
func (p *Pool) one(i int, j job) outcome {
	o := p.try(i, j)
	if (errors.Is(o.err, ErrStopped) || errors.Is(o.err, ErrSlow)) && !errors.Is(o.err, errUsedUp) {
		o = p.try(i, j)
	}
	if w := p.at(i); w != nil && w.photos >= p.options.Photos {
		p.end(i)
	}
	return o
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

func (p *Pool) try(i int, j job) outcome {
	if err := j.ctx.Err(); err != nil {
		return outcome{err: err}
	}
	w := p.at(i)
	if w == nil {
		var err error
		w, err = start(p.options.Command, p.env())
		p.mu.Lock()
		p.failed = err
		p.mu.Unlock()
		if err != nil {
			return outcome{err: err}
		}
		p.mu.Lock()
		p.running[i] = w
		p.mu.Unlock()
		if w.Lacking != "" && p.options.Lacking != nil {
			p.lacking.Do(func() { p.options.Lacking(w.Lacking) })
		}
	}
	q, photos, size, err := open(j.first, j.second, j.request)
	if err != nil {
		return outcome{err: err}
	}
	defer photos.Close()
	a, picture, err := w.ask(j.ctx, p.options.Wall, q, photos, size)
	switch {
	case err != nil:
		p.end(i)
		p.killed(err)
		return outcome{err: err}
	case !photos.whole():
		return outcome{err: record.ErrChanged}
	}
	return outcome{a, bytes.Clone(picture), a.err(q)}
}

// killed tells of a process that ended over a photo.
func (p *Pool) killed(err error) {
	switch {
	case p.options.Killed == nil:
	case errors.Is(err, ErrSlow):
		p.options.Killed("slow")
	case errors.Is(err, ErrStopped):
		p.options.Killed("stopped")
	}
}

// Ready says why no worker can be started, if that was so the last time.
func (p *Pool) Ready(context.Context) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.failed
}

// tidyMalloc has the C library (mallopt(3), of glibc) give large blocks back as soon as
// they are free and keep one heap for all threads: a phone's HEIC, which is decoded in
// tiles by several, left up to 1.1 GB behind it where it needs 0.6.
var tidyMalloc = []string{"MALLOC_ARENA_MAX=1", "MALLOC_MMAP_THRESHOLD_=1048576"}

// noIdlers keeps OpenBLAS, which comes with OpenCV and is never asked for anything,
// from starting threads: those wait for work 25 ms at full speed.
const noIdlers = "OPENBLAS_NUM_THREADS=1"

// oneEach is for workers that fill all processors by themselves: a photo that is parted
// among more than there are takes 4 % longer (60 photos of 12 megapixels, two of each).
const oneEach = "GOMAXPROCS=1"

// env is what a worker needs of the environment to find its libraries.
func (p *Pool) env() []string {
	out := append(slices.Clone(tidyMalloc), noIdlers)
	for _, name := range []string{"PATH", "LD_LIBRARY_PATH", "TMPDIR", "LANG"} {
		if v, there := os.LookupEnv(name); there {
			out = append(out, name+"="+v)
		}
	}
	if p.options.Workers >= runtime.NumCPU() {
		out = append(out, oneEach)
	}
	return append(out, p.options.Env...)
}
