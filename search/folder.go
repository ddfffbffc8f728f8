package search

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// An index folder holds:
//
//	lock                    taken while a process has the index open
//	lots-SIGNATURE-N        the index; of several, the greatest N
//	lots-SIGNATURE-N.new    one being built aside
//	damaged                 the last one that could not be read
//
// Everything else of ours in it is left over and removed.
const (
	lockFile      = "lock"
	damagedFolder = "damaged"
	folderPrefix  = "lots-"
	newSuffix     = ".new"
)

// folder is an index folder that this process has taken.
type folder struct {
	path string
	lock *os.File
}

// takeFolder makes the folder if need be and takes it, waiting at most so long
// for a process that has it.
func takeFolder(path string, wait time.Duration) (*folder, error) {
	if err := os.MkdirAll(path, 0o700); err != nil {
		return nil, fmt.Errorf("search: %w", err)
	}
	lock, err := os.OpenFile(filepath.Join(path, lockFile), os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, fmt.Errorf("search: %w", err)
	}
	for deadline := time.Now().Add(wait); ; time.Sleep(5 * time.Millisecond) {
		err := tryLock(lock)
		if err == nil {
			return &folder{path: path, lock: lock}, nil
		}
		if !errors.Is(err, ErrBusy) || !time.Now().Before(deadline) {
			_ = lock.Close()
			return nil, err
		}
	}
}

func (f *folder) release() error { return f.lock.Close() }

// newest is the number of the newest index of this signature, or 0.
func (f *folder) newest() (newest int, err error) {
	entries, err := os.ReadDir(f.path)
	if err != nil {
		return 0, fmt.Errorf("search: %w", err)
	}
	for _, entry := range entries {
		if n, ok := f.number(entry.Name()); ok {
			newest = max(newest, n)
		}
	}
	return newest, nil
}

// current is the number of the newest index of this signature, or 0, and
// removes everything that is left over.
func (f *folder) current() (int, error) {
	newest, err := f.newest()
	if err != nil {
		return 0, err
	}
	entries, err := os.ReadDir(f.path)
	if err != nil {
		return 0, fmt.Errorf("search: %w", err)
	}
	for _, entry := range entries {
		n, ok := f.number(entry.Name())
		if strings.HasPrefix(entry.Name(), folderPrefix) && (!ok || n < newest) {
			if err := os.RemoveAll(filepath.Join(f.path, entry.Name())); err != nil {
				return 0, fmt.Errorf("search: %w", err)
			}
		}
	}
	return newest, nil
}

// number reads the number of an index of this signature.
func (f *folder) number(name string) (int, bool) {
	rest, ok := strings.CutPrefix(name, folderPrefix+signature()+"-")
	if !ok {
		return 0, false
	}
	n, err := strconv.Atoi(rest)
	return n, err == nil && n > 0
}

// dir is where the index of a number is kept.
func (f *folder) dir(n int) string {
	return filepath.Join(f.path, folderPrefix+signature()+"-"+strconv.Itoa(n))
}

// setAside keeps a damaged index for whoever wants to look into it, in place
// of the one before.
func (f *folder) setAside(n int) error {
	aside := filepath.Join(f.path, damagedFolder)
	if err := os.RemoveAll(aside); err != nil {
		return fmt.Errorf("search: %w", err)
	}
	if err := os.Rename(f.dir(n), aside); err != nil {
		return fmt.Errorf("search: %w", err)
	}
	return nil
}
