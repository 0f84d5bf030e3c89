package records

import (
	"context"
	"errors"
	"io"
	"path/filepath"
	"time"

	"netagauge/internal/command"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/book"
	"netagauge/internal/tell/report"
	"netagauge/internal/work/class"
	"netagauge/internal/work/line"
	"netagauge/internal/work/worker"
)

// add measures photos, shows their slices and keeps them as checks of the line,
// which it returns by their number in the book. A photo that is refused is said so
// and not kept.
func (o *lineOptions) add(ctx context.Context, b *book.Book, t ticket.Ticket, text io.Writer) (code int, taken map[int64]piece.Tray, err error) {
	m, end := command.Measurer(1)
	defer end()
	taken = map[int64]piece.Tray{}
	for i, tray := range o.trays {
		id, r, err := o.addOne(ctx, b, m, t, tray)
		if ctx.Err() != nil && o.NoRecord {
			return command.ExitRefused, nil, phrase.Wrong("ran-class-nothing", i, len(o.trays))
		}
		if ctx.Err() != nil {
			return command.ExitRefused, nil, phrase.Wrong("ran-line-stopped", i, len(o.trays))
		}
		var refused refusedError
		if errors.As(err, &refused) {
			o.WarnOf(phrase.Because(err, "ran-line-not-kept"))
			code = command.ExitRefused
			continue
		}
		if err != nil {
			return command.ExitRefused, nil, err
		}
		if err := o.Words().TextPhoto(text, o.colour.On(text), r); err != nil {
			return command.ExitRefused, nil, err
		}
		taken[id] = r
		code = max(code, command.CodeOf(r, t.Standard))
	}
	return code, taken, nil
}

// refusedError is one photo that cannot be a check; others go on.
type refusedError struct{ error }

func (o *lineOptions) addOne(ctx context.Context, b *book.Book, m worker.Measurer, t ticket.Ticket, files class.Tray) (id int64, r piece.Tray, err error) {
	path := files.File
	tray, err := command.ReadTray(files, t)
	if err != nil {
		return 0, r, refusedError{err}
	}
	kept, err := command.Recorder(b, m).Record(ctx, tray)
	if err != nil {
		return 0, r, err
	}
	if kept.Report.Status != piece.TrayMeasured {
		return 0, r, refusedError{command.Refusal(path, kept.Report)}
	}
	at, err := o.time(path, kept.Report.Photo)
	if err != nil {
		return 0, r, err
	}
	id, added, err := b.AddSpotCheck(ctx, book.SpotCheck{Result: kept.ID, Line: o.line, Who: o.who, File: filepath.Base(path), CheckedAt: at})
	if err == nil && !added {
		o.Warn("ran-line-again", report.Printable(path), command.Quoted(o.line))
	}
	return id, kept.Report, err
}

// time is when a check was taken: as told, as the photo says, or that of its file.
func (o *lineOptions) time(path string, p piece.Photo) (time.Time, error) {
	if o.at != "" {
		return o.taken, nil
	}
	if t, told := p.TakenAt(time.Local); told && !t.After(time.Now()) {
		return t, nil
	}
	return command.TakenAt(path)
}

// codeOfChecks is what the checks just taken ask for: a signal that nobody has
// remarked on yet fails.
func codeOfChecks(l line.Line, taken map[int64]piece.Tray) int {
	for id := range taken {
		if l.Signals(id) {
			return command.ExitFails
		}
	}
	return command.ExitPass
}
