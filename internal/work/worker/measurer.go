package worker

import (
	"cmp"
	"context"
	"errors"
	"io"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/plan"
	"netagauge/internal/see/printscale"
	"netagauge/internal/work/record"
)

// Measurer has a request about photos answered; where, is its own.
type Measurer func(ctx context.Context, first, second record.Photo, q request) (answer, []byte, error)

// Measure measures one tray; it is a record.Measure. Its errors are
// record.EnteredError, record.MistakeError, record.ErrChanged, that of Open and
// ctx's, and a Pool's ErrStopped, ErrSlow and ErrNoWorker.
func (m Measurer) Measure(ctx context.Context, t record.Tray) (record.Result, error) {
	a, picture, err := m(ctx, t.First, t.Second, request{Ticket: t.Ticket, Language: t.Language})
	if err != nil {
		return record.Result{}, err
	}
	if a.Drawn < 0 || a.Drawn > len(picture) {
		return record.Result{}, record.MistakeError{What: "its pictures do not fit their sizes"}
	}
	return record.Result{Report: *a.Report, Picture: picture[:a.Drawn], View: picture[a.Drawn:]}, nil
}

// Block plans the cuts of the block in a photo, and draws them on it; a second
// photo, where there is one, shows its heights. Its errors
// are those of Measure.
func (m Measurer) Block(ctx context.Context, photo, second record.Photo, told plan.Photographed) (plan.Plan, []byte, error) {
	a, picture, err := m(ctx, photo, second, request{Block: &told})
	if err != nil {
		return plan.Plan{}, nil, err
	}
	return *a.Plan, picture, nil
}

// Print measures a mat's print by the coin of that name in a photo, or by a bank
// card when there is no name. Its errors are those of Measure; of a photo that was
// refused the cause is a matprint.RefusedError.
func (m Measurer) Print(ctx context.Context, photo record.Photo, coin string) (printscale.Verified, error) {
	a, _, err := m(ctx, photo, record.Photo{}, request{Print: &printed{coin}})
	if err != nil {
		return printscale.Verified{}, err
	}
	return *a.Print, nil
}

// Here measures in this process, with no limits and no sandbox.
var Here Measurer = func(ctx context.Context, first, second record.Photo, q request) (answer, []byte, error) {
	q, photos, size, err := open(first, second, q)
	if err != nil {
		return answer{}, nil, err
	}
	defer photos.Close()
	data := make([]byte, size)
	if _, err := io.ReadFull(photos, data); err != nil {
		return answer{}, nil, err
	}
	return answerTo(ctx, q, data)
}

// open opens one photo, or both in a row.
func open(first, second record.Photo, q request) (_ request, photos *body, size int64, err error) {
	photos = &body{}
	q.Name = first.Name
	if size, err = photos.add(first); err != nil || !second.There() {
		return q, photos, size, err
	}
	more, err := photos.add(second)
	q.Second, q.First = cmp.Or(second.Name, "second photo"), size
	return q, photos, size + more, err
}

// ForPeople is a Measurer whose errors over a photo say what to do about it.
func (m Measurer) ForPeople() Measurer {
	return func(ctx context.Context, first, second record.Photo, q request) (answer, []byte, error) {
		a, picture, err := m(ctx, first, second, q)
		if errors.Is(err, ErrSlow) || errors.Is(err, ErrStopped) {
			code, _ := ending(err)
			err = phrase.Wrong("over-" + code)
		}
		return a, picture, err
	}
}
