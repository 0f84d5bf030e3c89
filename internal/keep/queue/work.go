package queue

import (
	"context"
	"errors"
	"math/rand/v2"
	"time"

	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverdatabasesql"
	"github.com/riverqueue/river/rivertype"
)

// Crew is how a process works off the queue.
type Crew struct {
	Hands   int           // trays in hand at once
	Longest time.Duration // that one may be in hand; then its taker is told to stop
	Leave   time.Duration // for what is in hand when the process is told to stop
}

// Gone is how long after it was taken a tray is handed out again whose taker was killed,
// since it did not even say that it stopped. River looks every half minute, or when
// another process takes that over, and the tray can be taken five seconds later.
func (c Crew) Gone() time.Duration { return c.Longest + c.Longest/10 }

// kept is how long the queue remembers what is done. The record knows it for good.
const kept = 10 * time.Minute

// Work gives trays to do, from several goroutines, until ctx is done and what was in hand
// has ended: by itself, or told to by its context after crew.Leave. What do returns nil
// for is done; any other error lets the tray wait again.
func (q *Queue) Work(ctx context.Context, crew Crew, do func(context.Context, Tray) error) error {
	workers := river.NewWorkers()
	river.AddWorker(workers, river.WorkFunc(func(ctx context.Context, j *river.Job[Tray]) error {
		err := do(ctx, j.Args)
		switch {
		case err == nil:
			return nil
		case errors.Is(ctx.Err(), context.Canceled):
			return ctx.Err() // River knows that it stops
		}
		return river.JobSnooze(0) // which is no attempt that failed
	}))
	client, err := river.NewClient(riverdatabasesql.NewWithPgxListener(q.db, q.pool), &river.Config{
		Schema: Schema, Logger: q.log, Workers: workers, RetryPolicy: inPlace{},
		Queues:     map[string]river.QueueConfig{river.QueueDefault: {MaxWorkers: crew.Hands}},
		JobTimeout: crew.Longest, RescueStuckJobsAfter: crew.Gone(), SoftStopTimeout: crew.Leave,
		CompletedJobRetentionPeriod: kept, FetchCooldown: cooldown,
	})
	if err != nil {
		return err
	}
	if err := begin(ctx, client.Start); err != nil {
		return nil // told to stop before it began
	}
	<-ctx.Done()
	select {
	case <-client.Stopped():
	case <-time.After(crew.Leave + unreached): // the database is gone, too: others find what was in hand
	}
	return nil
}

// unreached is how long it may take to say what became of trays in hand.
const unreached = 5 * time.Second

// cooldown is how long after it took trays a process takes the next.
const cooldown = 20 * time.Millisecond

// begin starts as soon as the database is there.
func begin(ctx context.Context, start func(context.Context) error) error {
	for {
		err := start(ctx)
		if err == nil || ctx.Err() != nil {
			return ctx.Err()
		}
		select {
		case <-ctx.Done():
		case <-time.After(time.Second + rand.N(time.Second)):
		}
	}
}

// inPlace lets a tray whose taker is gone keep the place it had.
type inPlace struct{}

func (inPlace) NextRetry(j *rivertype.JobRow) time.Time { return j.ScheduledAt }
