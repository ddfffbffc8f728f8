package backup

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"heirpress/server/store"
	"heirpress/server/store/sqlite"
)

// Save makes a backup of a registry in a file, and proves it: what it has written
// is read again and restored into a new store beside the file, for which there
// must be room, and that is compared with the registry. Only then does the file
// get its name. A file that had that name is replaced.
func Save(ctx context.Context, from store.Movable, path string) (info Info, err error) {
	part, err := os.CreateTemp(filepath.Dir(path), filepath.Base(path)+".part-*") // private from the first byte: it holds addresses and keys
	if err != nil {
		return info, err
	}
	defer func() {
		err = errors.Join(err, part.Close())
		if err != nil {
			err = errors.Join(err, os.Remove(part.Name()))
		}
	}()
	if _, err = Write(ctx, from, part, time.Now()); err != nil {
		return info, err
	}
	if err = part.Sync(); err != nil {
		return info, err
	}
	if info, err = prove(ctx, from, part); err != nil {
		return info, err
	}
	if err = os.Rename(part.Name(), path); err != nil {
		return info, err
	}
	return info, syncFolder(filepath.Dir(path))
}

// prove restores a backup into a store made for that, and compares.
func prove(ctx context.Context, from store.Movable, part *os.File) (info Info, err error) {
	scratch, err := os.MkdirTemp(filepath.Dir(part.Name()), ".heirpress-proof-")
	if err != nil {
		return info, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(scratch)) }()
	s, err := sqlite.Open(filepath.Join(scratch, "registry.db"))
	if err != nil {
		return info, err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	if _, err := part.Seek(0, 0); err != nil {
		return info, err
	}
	if info, err = Restore(ctx, part, s); err != nil {
		return info, fmt.Errorf("the backup was written, but could not be restored: %w", err)
	}
	return info, Faithful(ctx, from, s, info)
}

// RestoreFile restores a backup as the SQLite file at a path, where there must be
// none. The file gets its name when it is whole: a restore that was cut off
// leaves nothing that could be taken for a registry.
func RestoreFile(ctx context.Context, file *os.File, path string) (info Info, err error) {
	if _, err := os.Lstat(path); !errors.Is(err, os.ErrNotExist) {
		return info, errors.Join(err, fmt.Errorf("%s is there already: a backup is restored only where there is no registry", path))
	}
	part := path + ".restoring"
	if err := removeStore(part); err != nil { // of a restore that was cut off
		return info, err
	}
	if info, err = Check(file); err != nil {
		return info, err
	}
	if info, err = restoreNew(ctx, file, part); err != nil {
		return info, errors.Join(err, removeStore(part))
	}
	if err := os.Rename(part, path); err != nil {
		return info, err
	}
	return info, syncFolder(filepath.Dir(path))
}

func restoreNew(ctx context.Context, file *os.File, path string) (info Info, err error) {
	s, err := sqlite.Open(path)
	if err != nil {
		return info, err
	}
	if _, err = file.Seek(0, 0); err == nil {
		info, err = Restore(ctx, file, s)
	}
	return info, errors.Join(err, s.Close()) // which empties the log into the file
}

// removeStore removes an SQLite file and those that SQLite makes beside it.
func removeStore(path string) error {
	var errs []error
	for _, more := range []string{"", "-wal", "-shm", "-journal"} {
		if err := os.Remove(path + more); !errors.Is(err, os.ErrNotExist) {
			errs = append(errs, err)
		}
	}
	return errors.Join(errs...)
}

// syncFolder puts a new name on disk.
func syncFolder(path string) error {
	dir, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(dir.Sync(), dir.Close())
}
