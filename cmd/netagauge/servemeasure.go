package main

import (
	"context"
	"fmt"
	"io"

	"netagauge/internal/keep/intake"
	"netagauge/internal/work/worker"
)

// measure measures what waits until ctx is done, in processes of its own.
func (o *serveOptions) measure(ctx context.Context, f *intake.Folder, errw io.Writer) error {
	pool := worker.NewPool(worker.Options{Workers: o.workers, Lacking: func(what string) {
		fmt.Fprintf(errw, "netagauge serve: photos are measured with less of a fence than a newer kernel has (%s)\n", what)
	}})
	defer pool.Close()
	worker.Run(ctx, f, pool, func(err error) { fmt.Fprintf(errw, "netagauge serve: %v\n", err) })
	return nil
}
