package worker

import (
	"context"
	"errors"
	"io"

	"netagauge/internal/work/record"
)

// inTurn has a tray measured when it is its turn. Its photos are fetched before, while
// others are measured: they may lie on another computer.
func (r runner) inTurn(ctx context.Context, t *record.Tray, measure func() error) error {
	if r.turn == nil {
		return measure()
	}
	closed, err := ahead(&t.First, &t.Second)
	defer closed()
	if err != nil {
		return err
	}
	select {
	case r.turn <- struct{}{}:
	case <-ctx.Done():
		return ctx.Err()
	}
	defer func() { <-r.turn }()
	return measure()
}

// ahead opens photos for the first time that they are asked for, which is to be once at a
// time. What is not asked for until then, closed closes.
func ahead(all ...*record.Photo) (closed func() error, err error) {
	open := make([]io.ReadCloser, len(all))
	closed = func() (err error) {
		for _, r := range open {
			if r != nil {
				err = errors.Join(err, r.Close())
			}
		}
		return err
	}
	for i, p := range all {
		if !p.There() {
			continue
		}
		again, size := p.Open, int64(0)
		if open[i], size, err = again(); err != nil {
			return closed, err
		}
		p.Open = func() (io.ReadCloser, int64, error) {
			r := open[i]
			if r == nil {
				return again()
			}
			open[i] = nil
			return r, size, nil
		}
	}
	return closed, nil
}
