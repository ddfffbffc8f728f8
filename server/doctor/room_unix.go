//go:build linux || darwin

package doctor

import (
	"io/fs"

	"golang.org/x/sys/unix"
)

// room is how many bytes a folder's file system has left for us.
func room(dir string) (uint64, error) {
	var s unix.Statfs_t
	if err := unix.Statfs(dir, &s); err != nil {
		return 0, &fs.PathError{Op: "statfs", Path: dir, Err: err}
	}
	return uint64(s.Bavail) * uint64(s.Bsize), nil
}
