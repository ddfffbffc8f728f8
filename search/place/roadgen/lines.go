package main

import (
	"errors"
	"fmt"
	"strings"
)

// readLines calls read for each line of a table, less blanks about it, but not for
// those that are empty or begin with #. The error names the file and the line of
// all that read refuses.
func readLines(file, text string, read func(line int, s string) error) error {
	var errs []error
	line := 0
	for s := range strings.Lines(text) {
		line++
		if s = strings.TrimSpace(s); s == "" || strings.HasPrefix(s, "#") {
			continue
		}
		if err := read(line, s); err != nil {
			errs = append(errs, fmt.Errorf("%s:%d: %w", file, line, err))
		}
	}
	return errors.Join(errs...)
}
