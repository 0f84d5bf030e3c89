package worker

import (
	"fmt"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
	"time"
)

// Limits on one worker process. A zero sets none.
type Limits struct {
	Memory uint64        // bytes of data it may have (RLIMIT_DATA)
	CPU    time.Duration // processor time for one photo, in whole seconds
	Nice   int           // how far it steps back behind the server
}

// Usual are the limits of the program's own workers. A JPEG of 12 to 50
// megapixels takes 450 to 500 MB of data and half a second, the largest picture
// that is decoded at all, a PNG of 16 bits, 900 MB. The address space is no
// measure of it: Go and the libraries reserve 2 GB that they never use.
var Usual = Limits{Memory: 1536 << 20, CPU: 20 * time.Second, Nice: 10}

// Own are those of a check that a person started on photos of theirs: it has more
// time, since the computer may be slow and nobody waits behind it.
var Own = Limits{Memory: 1536 << 20, CPU: time.Minute}

// set limits the calling process. A worker writes no files.
func (l Limits) set() error {
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{}); err != nil {
		return err
	}
	return l.Set(func() {
		fmt.Fprintln(os.Stderr, overTime)
		os.Exit(1)
	})
}

// Set limits the calling process, which leaves no core dump with somebody's photo
// in it; over is called when the time of AllowPhoto is used up.
func (l Limits) Set(over func()) error {
	if err := syscall.Setrlimit(syscall.RLIMIT_CORE, &syscall.Rlimit{}); err != nil {
		return err
	}
	if l.Nice > 0 {
		if err := syscall.Setpriority(syscall.PRIO_PROCESS, 0, l.Nice); err != nil {
			return err
		}
	}
	if l.CPU > 0 {
		used := make(chan os.Signal, 1)
		signal.Notify(used, syscall.SIGXCPU) // which Go's runtime ignores otherwise
		go func() {
			<-used
			over()
		}()
	}
	if l.Memory == 0 {
		return nil
	}
	debug.SetMemoryLimit(int64(l.Memory / 2)) // from where on Go clears up more eagerly
	return syscall.Setrlimit(syscall.RLIMIT_DATA, &syscall.Rlimit{Cur: l.Memory, Max: l.Memory})
}

// overTime is what a worker says that ends for want of processor time.
const overTime = "(processor time for one photo is used up)"

// AllowPhoto gives the calling process the time for one more photo.
func (l Limits) AllowPhoto() error {
	if l.CPU == 0 {
		return nil
	}
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		return err
	}
	seconds := uint64(used.Utime.Sec+used.Stime.Sec) + 1 + uint64(l.CPU/time.Second)
	return syscall.Setrlimit(syscall.RLIMIT_CPU, &syscall.Rlimit{Cur: seconds, Max: ^uint64(0)})
}
