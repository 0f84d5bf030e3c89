package class

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"sync/atomic"
	"time"

	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"

	"netagauge/internal/core/phrase"
	"netagauge/internal/tell/report"
)

// Progress shows how far a class is: a bar with the time left on a terminal,
// plain lines elsewhere. It is not for several goroutines at once.
type Progress struct {
	w     io.Writer
	say   *phrase.Language
	bars  *mpb.Progress
	bar   *mpb.Bar
	total int
	done  int
	fresh int // measured now, not found in the book
	start time.Time
	says  atomic.Pointer[string] // the time left, for the bar, which draws by itself
}

// NewProgress starts to show the progress over total trays on w, in a language.
func NewProgress(w io.Writer, say *phrase.Language, terminal bool, total int) *Progress {
	p := &Progress{w: w, say: say, total: total, start: time.Now()}
	p.says.Store(new(string))
	if terminal {
		p.bars = mpb.New(mpb.WithOutput(w), mpb.WithWidth(40))
		p.bar = p.bars.AddBar(int64(total),
			mpb.PrependDecorators(decor.Any(func(s decor.Statistics) string { return say.Word("progress-at", s.Current, s.Total) + " " })),
			mpb.AppendDecorators(decor.OnComplete(decor.Any(func(decor.Statistics) string { return *p.says.Load() }), say.Word("progress-done"))))
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
		left := p.left()
		p.says.Store(&left)
		p.bar.Increment()
		return
	}
	what := p.say.Word("progress-measured")
	switch {
	case o.Err != nil:
		what = report.Printable(p.say.Must(phrase.Because(o.Err, "progress-not-measured").Says))
	case o.Before:
		what = p.say.Word("progress-before")
	case o.Refused:
		what = p.say.Word("state-refused")
	}
	name := strconv.Quote(o.File)
	if o.Second != "" {
		name += " + " + strconv.Quote(o.Second)
	}
	if left := p.left(); left != "" {
		what += p.say.Word("point-comma") + left
	}
	fmt.Fprintln(p.w, p.say.Word("progress-at", p.done, p.total), name, what)
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
	if left > 2*time.Minute {
		return p.say.Word("progress-minutes", int(math.Ceil(left.Minutes())))
	}
	return p.say.Word("progress-seconds", int(math.Ceil(left.Seconds())))
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
