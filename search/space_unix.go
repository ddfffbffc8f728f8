//go:build !windows

package search

import "golang.org/x/sys/unix"

// errNoSpace is how the system says that the disk is full.
const errNoSpace = unix.ENOSPC
