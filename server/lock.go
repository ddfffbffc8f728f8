package server

import (
	"context"
	"fmt"
	"path/filepath"
	"time"

	"github.com/gofrs/flock"
)

// BusyError says that another process has a data folder open.
type BusyError struct {
	// Dir is the folder.
	Dir string
}

// Error says what to do.
func (e *BusyError) Error() string {
	return fmt.Sprintf("another heirpress has the data folder %s open; wait for it to end, or run heirpressd on the folder and use --server", e.Dir)
}

// Lock takes a data folder for this process, or returns a *BusyError at once.
func Lock(dir string) (unlock func() error, err error) { return lock(context.Background(), dir) }

const lockRetry = 20 * time.Millisecond

// lock takes a data folder for this process, and waits for it until ctx's
// deadline; without a deadline it does not wait.
func lock(ctx context.Context, dir string) (func() error, error) {
	l := flock.New(filepath.Join(dir, "lock"))
	got, err := l.TryLock()
	if _, waits := ctx.Deadline(); err == nil && !got && waits {
		got, err = l.TryLockContext(ctx, lockRetry)
	}
	if ctx.Err() != nil || err == nil && !got {
		return nil, &BusyError{Dir: dir}
	}
	if err != nil {
		return nil, fmt.Errorf("the data folder cannot be locked: %w", err)
	}
	return l.Unlock, nil
}
