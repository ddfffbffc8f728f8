package store

import (
	"errors"
	"fmt"
)

// ErrNotFound says that there is no such record, key or answer.
var ErrNotFound = errors.New("store: not found")

// ErrClosed says that the store was closed before the call, or during it.
var ErrClosed = errors.New("store: closed")

// ErrOver says that a Tx was used after the function it was given to returned.
var ErrOver = errors.New("store: the transaction is over; use a Tx only inside the function given to Write")

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

// InvalidError says that what the store was given cannot be kept. Nothing of it
// was written.
type InvalidError struct {
	// Field is what is wrong, as "record.name".
	Field string
	// Problem says what is wrong with it and what would be right.
	Problem string
}

// Error names the field and the problem.
func (e *InvalidError) Error() string {
	return fmt.Sprintf("store: %s %s", e.Field, e.Problem)
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

// UnusableError says that a file or database is no registry, or a damaged one.
// The store does not repair it, nor write over it.
type UnusableError struct {
	// Path is the file, or the database without any password.
	Path string
	// Reason says what is wrong with it, as "it is not a heirpress registry".
	Reason string
}

// Error says what to do.
func (e *UnusableError) Error() string {
	return fmt.Sprintf("store: %s cannot be used: %s; put back a copy that is whole, or name another place to begin a new registry", e.Path, e.Reason)
}

// UnavailableError says that a shared store cannot be reached, or cannot answer
// for now. The store has tried for a while; the same call may succeed later.
type UnavailableError struct {
	// Place is where the store is, without any password.
	Place string
	// Reason says what is in the way.
	Reason string
	// Unknown marks a write that may have been committed all the same: the
	// connection was lost between the commit and its answer.
	Unknown bool
}

// Error says what to do.
func (e *UnavailableError) Error() string {
	if e.Unknown {
		return fmt.Sprintf("store: %s was lost during a commit (%s): whether the write was made is not known; read before writing it again, or repeat it with its request_id", e.Place, e.Reason)
	}
	return fmt.Sprintf("store: %s does not answer (%s): try again shortly", e.Place, e.Reason)
}
