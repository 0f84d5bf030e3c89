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
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"hash"
	"io"
	"netagauge/internal/work/record"
	"os"
	"runtime"
	"sync"
	"time"
)

// Options of a pool. What is zero takes the usual value.
type Options struct {
	Workers int           // photos in hand at once; usually one less than there are processors
	Photos  int           // that one process measures before it is replaced; usually 50
	Wall    time.Duration // for one photo by the clock; usually 90 seconds
	Command []string      // that runs Serve; usually this program with the verb "worker"
	Env     []string      // added to the little of the environment that workers get
	Lacking func(string)  // is told once what of the workers' fence this kernel lacks; may be nil
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
	options Options
	jobs    chan job
	slots   sync.WaitGroup
	mu      sync.Mutex
	running map[int]*process // by slot
	lacking sync.Once
}

type job struct {
	ctx  context.Context
	tray record.Tray
	done chan<- outcome
}

type outcome struct {
	result record.Result
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

// Measure measures one tray, as soon as a worker is free; it is a record.Measure.
// A worker that stops or takes too long over it is replaced and the photo tried
// once more, unless it took all of the processor time; after that the error is
// ErrStopped or ErrSlow. Others are record.EnteredError, record.MistakeError,
// record.ErrChanged, ErrNoWorker, that of Open, or ctx's.
func (p *Pool) Measure(ctx context.Context, tray record.Tray) (record.Result, error) {
	done := make(chan outcome, 1)
	select {
	case p.jobs <- job{ctx, tray, done}:
	case <-ctx.Done():
		return record.Result{}, ctx.Err()
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

func (p *Pool) try(i int, j job) (record.Result, error) {
	if err := j.ctx.Err(); err != nil {
		return record.Result{}, err
	}
	w := p.at(i)
	if w == nil {
		var err error
		if w, err = start(p.options.Command, p.env()); err != nil {
			return record.Result{}, err
		}
		p.mu.Lock()
		p.running[i] = w
		p.mu.Unlock()
		if w.Lacking != "" && p.options.Lacking != nil {
			p.lacking.Do(func() { p.options.Lacking(w.Lacking) })
		}
	}
	q, photos, size, err := open(j.tray)
	if err != nil {
		return record.Result{}, err
	}
	defer photos.Close()
	a, picture, err := w.ask(j.ctx, p.options.Wall, q, photos, size)
	switch {
	case err != nil:
		p.end(i)
		return record.Result{}, err
	case !photos.whole():
		return record.Result{}, record.ErrChanged
	case a.Entered != "":
		return record.Result{}, record.EnteredError{What: a.Entered}
	case a.Report == nil:
		return record.Result{}, record.MistakeError{What: a.Mistake}
	}
	return record.Result{Report: *a.Report, Picture: bytes.Clone(picture)}, nil
}

// open opens one photo, or both in a row.
func open(t record.Tray) (q request, photos *body, size int64, err error) {
	q, photos = request{Name: t.First.Name, Ticket: t.Ticket}, &body{}
	if size, err = photos.add(t.First); err != nil || !t.Second.There() {
		return q, photos, size, err
	}
	more, err := photos.add(t.Second)
	q.Second, q.First = cmp.Or(t.Second.Name, "second photo"), size
	return q, photos, size + more, err
}

// body is the photos of a tray in a row, summed up as they are read.
type body struct {
	parts []part
	next  int
}

type part struct {
	photo record.Photo
	open  io.ReadCloser
	left  int64
	sum   hash.Hash
}

// add opens a photo behind those that are there. If it cannot, it closes all.
func (b *body) add(p record.Photo) (size int64, err error) {
	r, size, err := p.Open()
	if err != nil {
		b.Close()
		return 0, err
	}
	b.parts = append(b.parts, part{p, r, size, sha256.New()})
	return size, nil
}

func (b *body) Read(to []byte) (n int, err error) {
	for b.next < len(b.parts) {
		p := &b.parts[b.next]
		if p.left == 0 {
			b.next++
			continue
		}
		n, err = p.open.Read(to[:min(int64(len(to)), p.left)])
		p.left -= int64(n)
		p.sum.Write(to[:n])
		if errors.Is(err, io.EOF) && p.left > 0 {
			err = io.ErrUnexpectedEOF
		} else if errors.Is(err, io.EOF) {
			err = nil
		}
		return n, err
	}
	return 0, io.EOF
}

// whole reports whether what was read is what was received.
func (b *body) whole() bool {
	for _, p := range b.parts {
		if hex.EncodeToString(p.sum.Sum(nil)) != p.photo.Hash {
			return false
		}
	}
	return true
}

func (b *body) Close() (err error) {
	for _, p := range b.parts {
		err = errors.Join(err, p.open.Close())
	}
	return err
}

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
