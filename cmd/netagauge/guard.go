package main

import (
	"io"
	"os"
	"path/filepath"
	"slices"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/work/fence"
	"netagauge/internal/work/worker"
)

// guarded says that the program is a process of its own, which may limit itself
// and be ended; main sets it. Tests run verbs inside their own process.
var guarded = false

// graces are how long a verb may go on after it was told to stop, to end what it
// has in hand. A decoder hears nothing of being told.
const (
	grace      = 3 * time.Second
	serveGrace = 20 * time.Second
	workGrace  = leave + 10*time.Second
)

// endAfter ends the program some time after it was told to stop.
func endAfter(args []string, errw io.Writer) {
	verb, wait := args[0], grace
	switch verb {
	case "serve":
		wait = serveGrace
	case "work":
		wait = workGrace
	}
	time.Sleep(wait)
	key := "ran-ended"
	if slices.Contains([]string{"class", "line", "serve", "work"}, verb) && !slices.Contains(args, "--no-record") {
		key = "ran-ended-kept"
	}
	(&caller{errw: errw, verb: verb, languageFlag: spoken(os.Getenv)}).warn(key)
	os.Exit(exitRefused)
}

// measurer looks at photos that may be a stranger's in up to so many processes of
// their own, behind limits and a fence; close ends them. What the program writes
// meanwhile, such as the record book, it writes outside of the fence.
func measurer(atOnce int) (m worker.Measurer, close func()) {
	if !guarded {
		return worker.Here.ForPeople(), func() {}
	}
	pool := worker.NewPool(worker.Options{Workers: atOnce, Wall: ownWall, Command: worker.OwnCommand})
	return pool.ForPeople(), pool.Close
}

// ownWall is how long one photo may take by the clock: nobody waits behind it, and
// the computer may be slow.
const ownWall = 5 * time.Minute

// fenceIn limits and fences in the program itself before it looks at photos that may
// be a stranger's, without the cost of a second process. It may then write the files
// named. The function returned begins a photo.
func fenceIn(to *caller, files ...string) (begin func(photo string) error, err error) {
	if !guarded {
		return func(string) error { return nil }, nil
	}
	now := ""
	err = worker.Own.Set(func() {
		to.warn("ran-too-slow", now, worker.Own.CPU.Seconds())
		os.Exit(exitRefused)
	})
	if err != nil {
		return nil, phrase.Because(err, "ran-no-limits")
	}
	var folders []string
	for _, f := range files {
		if f != "" {
			folders = append(folders, f, filepath.Dir(f)) // the file may be a folder itself
		}
	}
	fence.RaiseFor(folders) // what this kernel lacks is told by serve, where strangers send photos
	return func(photo string) error {
		now = photo
		return worker.Own.AllowPhoto()
	}, nil
}
