package store

import (
	"errors"
	"fmt"
)

// ErrNotFound says that there is no such record, key, cursor or answer.
var ErrNotFound = errors.New("store: not found")

// ExistsError says that a name or a key is taken.
type ExistsError struct {
	// Name is the record that has it.
	Name string
	// Key is the key that is taken; empty if it was the name.
	Key string
}

// Error names the record in the way.
func (e *ExistsError) Error() string {
	if e.Key != "" {
		return fmt.Sprintf("store: %s already has the key %q", e.Name, e.Key)
	}
	return fmt.Sprintf("store: %s already exists", e.Name)
}

// NewerError says that a store was written by a newer program. Nothing in it
// has been touched.
type NewerError struct {
	// Path is the store refused.
	Path string
	// Found is the version of its schema, Known the newest this program knows.
	Found, Known int
}

// Error says what to do.
func (e *NewerError) Error() string {
	return fmt.Sprintf("store: %s has schema version %d, and this program knows only up to %d: it was written by a newer heirpress; use that one (nothing was changed)",
		e.Path, e.Found, e.Known)
}
