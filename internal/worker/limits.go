package worker

import (
	"fmt"
	"os"
	"os/signal"
	"syscall"
	"time"
)

// Limits on one worker process. A zero sets none.
type Limits struct {
	Memory uint64        // bytes of data it may have (RLIMIT_DATA)
	CPU    time.Duration // processor time for one photo, in whole seconds
	Nice   int           // how far it steps back behind the server
}

// Usual are the limits of the program's own workers.
var Usual = Limits{Memory: 1536 << 20, CPU: 90 * time.Second, Nice: 10}

// set limits the calling process.
func (l Limits) set() error {
	if l.Nice > 0 {
		if err := syscall.Setpriority(syscall.PRIO_PROCESS, 0, l.Nice); err != nil {
			return err
		}
	}
	if l.CPU > 0 {
		over := make(chan os.Signal, 1)
		signal.Notify(over, syscall.SIGXCPU) // which Go's runtime ignores otherwise
		go func() {
			fmt.Fprintln(os.Stderr, <-over, overTime)
			os.Exit(1)
		}()
	}
	if l.Memory == 0 {
		return nil
	}
	return syscall.Setrlimit(syscall.RLIMIT_DATA, &syscall.Rlimit{Cur: l.Memory, Max: l.Memory})
}

// overTime is what a worker says that ends for want of processor time.
const overTime = "(processor time for one photo is used up)"

// allowPhoto gives the calling process the time for one more photo.
func (l Limits) allowPhoto() error {
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
