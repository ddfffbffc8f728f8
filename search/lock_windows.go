package search

import (
	"os"

	"golang.org/x/sys/windows"
)

// tryLock takes a file for this process alone, or returns ErrBusy at once. It
// is free again when the file is closed, however the process ends.
func tryLock(f *os.File) error {
	const how = windows.LOCKFILE_EXCLUSIVE_LOCK | windows.LOCKFILE_FAIL_IMMEDIATELY
	err := windows.LockFileEx(windows.Handle(f.Fd()), how, 0, 1, 0, &windows.Overlapped{})
	if err == windows.ERROR_LOCK_VIOLATION || err == windows.ERROR_IO_PENDING {
		return ErrBusy
	}
	return err
}
