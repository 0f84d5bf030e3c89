package intake

import (
	"errors"
	"os"
	"syscall"
)

// takeLock holds the file until it is closed or the process ends, however it
// ends. Child processes do not inherit it.
func takeLock(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	err = syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	if err == nil {
		return f, nil
	}
	f.Close()
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return nil, ErrInUse
	}
	return nil, err
}
