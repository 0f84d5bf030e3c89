package main

import (
	"context"
	"os"
	"syscall"

	"netagauge/internal/command"
	"netagauge/internal/work/worker"
)

const workerHelp = `netagauge worker measures photos for netagauge serve, which starts it. People
have no use for it.
`

// runWorker is what the server starts to measure photos; people have no use for
// it. Frames go over standard input and output, so whatever a library prints is
// sent to standard error instead.
func runWorker(ctx context.Context, args []string, to *command.Caller) (int, error) {
	f := command.NewFlags("worker", workerHelp, to)
	own := f.Bool("own", false, "for photos of the person who started the program")
	if err := to.ParseOptions(f, args); err != nil {
		return command.ExitUsage, err
	}
	fd, err := syscall.Dup(1)
	if err != nil {
		return command.ExitRefused, err
	}
	if err := syscall.Dup3(2, 1, 0); err != nil {
		return command.ExitRefused, err
	}
	limits := worker.Usual
	if *own {
		limits = worker.Own
	}
	return command.ExitPass, worker.Serve(ctx, os.Stdin, os.NewFile(uintptr(fd), "answers"), limits)
}
