package main

import (
	"context"
	"errors"
	"time"

	"netagauge/internal/command"
	"netagauge/internal/serve/metrics"
	"netagauge/internal/work/worker"
)

const workHelp = `Measure photos that servers on other computers take in: any number of computers
may do so at the same time, and any of them may be switched off.

  netagauge work --database postgres://netagauge@record.example/netagauge \
    --photos 's3://kitchens/trays?endpoint=https://photos.example'

Each tray is measured once, whatever stops in between. Told to stop, it ends
what it has in hand within half a minute, or leaves it to others. What a
computer that failed had in hand another takes up after some seven minutes.
`

// leave is how long what is in hand may take once work is told to stop.
const leave = 20 * time.Second

func runWork(ctx context.Context, args []string, to *command.Caller) (code int, err error) {
	var at sharedPlace
	var o watching
	f := command.NewFlags("work", workHelp, to)
	at.flags(f)
	o.flags(f)
	workers := f.Int("workers", 2, "photos measured at once, each in a process of its own")
	if err := to.ParseOptions(f, args); err != nil {
		return command.ExitUsage, err
	}
	switch {
	case at.database == "" || at.photos == "":
		return command.ExitUsage, command.Misuse("use-shared-both")
	case *workers < 1 || *workers > 64:
		return command.ExitUsage, command.Misuse("use-workers", *workers)
	}
	s, err := at.openShared(ctx, o.quietly(to))
	if err != nil {
		return command.ExitRefused, err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	return s.workWatched(ctx, o, *workers, to)
}

// workWatched measures, and tells how it does.
func (s *shared) workWatched(ctx context.Context, o watching, workers int, to *command.Caller) (int, error) {
	log, numbers := metrics.Log(to.Err, o.logJSON, ""), metrics.New(true, s.waiting)
	closeNumbers, err := giveNumbers(o.metrics, numbers, log)
	if err != nil {
		return command.ExitUsage, err
	}
	defer closeNumbers()
	pool := countedPool(workers, numbers, log)
	defer pool.Close()
	return command.ExitPass, s.work(ctx, pool, leave, func(err error) { log.Error("measure", "err", err) })
}

// waiting is what waits at each site.
func (s *shared) waiting(ctx context.Context) (out []metrics.Waiting, err error) {
	all, err := s.queue.Waiting(ctx)
	for _, w := range all {
		out = append(out, metrics.Waiting{Site: w.Site, Photos: w.Trays, Oldest: w.Oldest})
	}
	return out, err
}

// work measures what waits at all sites until ctx is done.
func (s *shared) work(ctx context.Context, p *worker.Pool, leave time.Duration, complain func(error)) error {
	ctx, stop := context.WithCancel(ctx)
	ended := make(chan struct{})
	defer func() { stop(); <-ended }()
	go func() {
		defer close(ended)
		s.resume(ctx, complain)
	}()
	return worker.Share(ctx, s.queue, func(ctx context.Context, site string) (worker.Shared, error) {
		f, err := s.folder(ctx, site)
		if err != nil {
			return nil, err
		}
		return f, nil
	}, p, leave, complain)
}
