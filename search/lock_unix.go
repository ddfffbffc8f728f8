//go:build !windows

package search

import (
	"os"

	"golang.org/x/sys/unix"
)

// tryLock takes a file for this process alone, or returns ErrBusy at once. It
// is free again when the file is closed, however the process ends.
func tryLock(f *os.File) error {
	err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB)
	if err == unix.EWOULDBLOCK {
		return ErrBusy
	}
	return err
}
