package search

import (
	"errors"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
)

// Look tells which change number the index in dir has reached, and checks all of
// it, without changing it: it opens a copy, which has its segments in common. It
// returns ErrDamaged for an index that cannot be trusted, and ErrBusy while a
// process has it open.
func Look(dir string) (change uint64, err error) {
	f, err := takeFolder(dir, 0)
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, f.release()) }()
	n, err := f.newest()
	if n == 0 || err != nil {
		return 0, err
	}
	scratch, err := os.MkdirTemp(dir, "look-")
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(scratch)) }()
	if err := twin(f.dir(n), scratch); err != nil {
		return 0, err
	}
	g, err := openGeneration(scratch, math.MaxInt64)
	if err != nil {
		return 0, err
	}
	change = g.change.Load()
	return change, g.close()
}

// twin makes a copy of an index. Its segments, which nobody changes once they are
// written, are the same files.
func twin(from, to string) error {
	return filepath.WalkDir(from, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name, err := filepath.Rel(from, path)
		if err != nil {
			return err
		}
		there := filepath.Join(to, name)
		switch {
		case entry.IsDir():
			return os.MkdirAll(there, 0o700)
		case filepath.Ext(path) == ".zap":
			return os.Link(path, there)
		}
		return copyFile(path, there)
	})
}

func copyFile(from, to string) error {
	r, err := os.Open(from)
	if err != nil {
		return err
	}
	defer r.Close()
	w, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(w, r)
	return errors.Join(err, w.Close())
}
