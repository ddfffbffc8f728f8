package server

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"

	"heirpress/server/store"
	"heirpress/server/store/backup"
)

// Restore puts a backup where there is no registry yet: into the database at an
// address, or, if that is empty, into a data folder. A *NotEmptyError says that
// there is something. If it was cut off, it is done again; until it has ended no
// daemon should be started there.
func Restore(ctx context.Context, dir, address, path string) (info backup.Info, err error) {
	file, err := os.Open(path)
	if err != nil {
		return info, err
	}
	defer file.Close()
	if address != "" {
		return restoreShared(ctx, address, file)
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return info, fmt.Errorf("the data folder cannot be made: %w", err)
	}
	unlock, err := lock(ctx, dir)
	if err != nil {
		return info, err
	}
	defer func() { err = errors.Join(err, unlock()) }()
	if err := mustBeEmpty(dir); err != nil {
		return info, err
	}
	return backup.RestoreFile(ctx, file, File(dir))
}

// NotEmptyError says that there is something where a backup was to be restored.
type NotEmptyError struct {
	// Place is the data folder, or the database without any password.
	Place string
	// There says what is there.
	There string
}

// Error says what to do.
func (e *NotEmptyError) Error() string {
	return fmt.Sprintf("%s is not empty: there is %s; restore into an empty place, and put it in use when you have looked at it (nothing was changed)", e.Place, e.There)
}

// mustBeEmpty refuses a data folder in which there is more than its lock and
// what a restore that was cut off has left. An index of another registry would
// be taken for the restored one's.
func mustBeEmpty(dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if name := e.Name(); name != "lock" && !strings.HasPrefix(name, "registry.db.restoring") {
			return &NotEmptyError{Place: dir, There: name}
		}
	}
	return nil
}

func restoreShared(ctx context.Context, address string, file *os.File) (info backup.Info, err error) {
	if info, err = backup.Check(file); err != nil { // before tables are made for it
		return info, err
	}
	s, err := OpenStore(ctx, "", address)
	if err != nil {
		return info, err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	if err := mayTake(ctx, s, info); err != nil {
		return info, err
	}
	if _, err := file.Seek(0, 0); err != nil {
		return info, err
	}
	return backup.Restore(ctx, file, s)
}

// mayTake refuses a store with more in it than a backup: one with less may be
// what a restore that was cut off has left, which is found out by comparing.
func mayTake(ctx context.Context, s store.Movable, info backup.Info) error {
	head, err := s.Head(ctx)
	if err != nil || head <= info.Changes {
		return err
	}
	return &NotEmptyError{Place: fmt.Sprint(s), There: fmt.Sprintf("a registry with %d changes", head)}
}
