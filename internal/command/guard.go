package command

import (
	"os"
	"path/filepath"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/work/sandbox"
	"netagauge/internal/work/worker"
)

// Guarded says that the program is a process of its own, which may limit itself
// and be ended; main sets it. Tests run verbs inside their own process.
var Guarded = false

// Measurer looks at photos that may be a stranger's in up to so many processes of
// their own, behind limits and a sandbox; close ends them. What the program writes
// meanwhile, such as the record book, it writes outside of the sandbox.
func Measurer(atOnce int) (m worker.Measurer, close func()) {
	if !Guarded {
		return worker.Here.ForPeople(), func() {}
	}
	pool := worker.NewPool(worker.Options{Workers: atOnce, Wall: ownWall, Command: worker.OwnCommand})
	return pool.ForPeople(), pool.Close
}

// ownWall is how long one photo may take by the clock: nobody waits behind it, and
// the computer may be slow.
const ownWall = 5 * time.Minute

// Enclose limits and encloses the program itself before it looks at photos that may
// be a stranger's, without the cost of a second process. It may then write the files
// named. The function returned begins a photo.
func Enclose(to *Caller, files ...string) (begin func(photo string) error, err error) {
	if !Guarded {
		return func(string) error { return nil }, nil
	}
	now := ""
	err = worker.Own.Set(func() {
		to.Warn("ran-too-slow", now, worker.Own.CPU.Seconds())
		os.Exit(ExitRefused)
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
	sandbox.EnterFor(folders) // what this kernel lacks is told by serve, where strangers send photos
	return func(photo string) error {
		now = photo
		return worker.Own.AllowPhoto()
	}, nil
}

// EncloseOne is Enclose for one photo, which is begun.
func EncloseOne(to *Caller, photo string, files ...string) error {
	begin, err := Enclose(to, files...)
	if err != nil {
		return err
	}
	return begin(photo)
}
