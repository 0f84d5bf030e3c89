package class

import (
	"fmt"
	"io"
	"strings"
	"sync/atomic"
	"time"

	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"

	"netagauge/internal/tell/report"
)

// Progress shows how far a class is: a bar with the time left on a terminal,
// plain lines elsewhere. It is not for several goroutines at once.
type Progress struct {
	w     io.Writer
	bars  *mpb.Progress
	bar   *mpb.Bar
	total int
	done  int
	fresh int // measured now, not found in the book
	start time.Time
	says  atomic.Pointer[string] // the time left, for the bar, which draws by itself
}

// NewProgress starts to show the progress over total trays on w.
func NewProgress(w io.Writer, terminal bool, total int) *Progress {
	p := &Progress{w: w, total: total, start: time.Now()}
	p.says.Store(new(string))
	if terminal {
		p.bars = mpb.New(mpb.WithOutput(w), mpb.WithWidth(40))
		p.bar = p.bars.AddBar(int64(total),
			mpb.PrependDecorators(decor.CountersNoUnit("%d of %d trays ")),
			mpb.AppendDecorators(decor.OnComplete(decor.Any(func(decor.Statistics) string { return *p.says.Load() }), "done")))
	}
	return p
}

// Seen counts one tray. Whatever comes from a file name is quoted, so that it
// cannot steer a terminal.
func (p *Progress) Seen(o Outcome) {
	p.done++
	if !o.Before && o.Err == nil {
		p.fresh++
	}
	if p.bar != nil {
		left := strings.TrimPrefix(p.left(), ", ")
		p.says.Store(&left)
		p.bar.Increment()
		return
	}
	what := "measured"
	switch {
	case o.Err != nil:
		what = "not measured: " + report.Printable(o.Err.Error())
	case o.Before:
		what = "was in the record book"
	}
	name := fmt.Sprintf("%q", o.File)
	if o.Second != "" {
		name += fmt.Sprintf(" with %q", o.Second)
	}
	fmt.Fprintf(p.w, "%d of %d %s %s%s\n", p.done, p.total, name, what, p.left())
}

// paceFrom is how many trays it takes until their pace tells the time left: the
// first ones come while all cores begin.
const paceFrom = 3

// left is the time left, by the pace of the trays measured so far.
func (p *Progress) left() string {
	if p.fresh < paceFrom || p.done == p.total {
		return ""
	}
	left := time.Since(p.start) / time.Duration(p.fresh) * time.Duration(p.total-p.done)
	return fmt.Sprintf(", about %s left", left.Round(time.Second))
}

// Close takes the bar away.
func (p *Progress) Close() {
	if p.bar != nil {
		if p.done < p.total {
			p.bar.Abort(false)
		}
		p.bars.Wait()
	}
}
