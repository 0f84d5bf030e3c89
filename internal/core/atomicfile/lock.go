package atomicfile

import (
	"errors"
	"os"
	"syscall"
)

// ErrHeld says that another process has a lock.
var ErrHeld error = syscall.EWOULDBLOCK

// Lock holds a file until it is closed or the process ends, however it ends. Child
// processes do not inherit it.
func Lock(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}
