package worker

import (
	"context"
	"os"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
)

// Kitchen is where a shot's photos lie and where what comes of them is kept.
// Whatever ends a shot may be done twice, whole or in part, and then changes nothing;
// of a shot that was asked for anew meanwhile, by its turn, it changes nothing either.
type Kitchen interface {
	Book() *book.Book
	Program() string // version, whose results are kept
	OpenPhoto(context.Context, intake.Shot) (*os.File, error)
	OpenSecond(context.Context, intake.Shot) (*os.File, error)
	Settle(context.Context, intake.Shot, intake.Outcome) error
	Fail(ctx context.Context, s intake.Shot, code string, why phrase.Text) error
	// PutBack lets a shot that was taken wait again.
	PutBack(context.Context, intake.Shot) error
}

// Queue hands out a kitchen's shots, each to one taker; intake.Folder is one.
type Queue interface {
	Kitchen
	// Next takes a shot that waits; found is false when none does.
	Next(context.Context) (s intake.Shot, found bool, err error)
	// Watch tells that there may be a next one, until ctx is done.
	Watch(ctx context.Context) <-chan struct{}
}
