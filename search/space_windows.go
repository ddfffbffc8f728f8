package search

import "golang.org/x/sys/windows"

// errNoSpace is how the system says that the disk is full.
const errNoSpace = windows.ERROR_DISK_FULL
