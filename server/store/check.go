package store

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// What any engine can hold.
const (
	// MaxText is the longest name, parent, key, collection, follower or request
	// ID, in bytes: they are all indexed.
	MaxText = 1000
	// MaxBody is the largest body or fingerprint, in bytes.
	MaxBody = 16 << 20
)

// Check tells, with an *InvalidError, what keeps a record from being created.
func (r Record) Check() error {
	return firstOf(
		needText("record.name", r.Name),
		needText("record.collection", string(r.Collection)),
		checkText("record.parent", r.Parent),
		r.CheckUpdate(),
	)
}

// CheckUpdate is Check for those fields that Update reads.
func (r Record) CheckUpdate() error {
	return firstOf(
		checkText("record.key", r.Key),
		checkBody("record.body", r.Body),
	)
}

// Check tells, with an *InvalidError, what keeps an answer from being remembered.
func (a Answer) Check() error {
	return firstOf(
		needText("answer.id", a.ID),
		checkBody("answer.fingerprint", a.Fingerprint),
		checkBody("answer.body", a.Body),
	)
}

// CheckCursor tells, with an *InvalidError, whether a follower may be said to
// have come as far as a change number, head being the last one there is: a
// cursor beyond it would skip changes not yet written.
func CheckCursor(follower string, to, head uint64) error {
	if to > head {
		return &InvalidError{Field: "cursor", Problem: fmt.Sprintf(
			"of %q cannot move to %d: the journal ends at %d", follower, to, head)}
	}
	return needText("follower", follower)
}

func needText(field, s string) error {
	if s == "" {
		return &InvalidError{Field: field, Problem: "is empty: it must be given"}
	}
	return checkText(field, s)
}

func checkText(field, s string) error {
	switch {
	case len(s) > MaxText:
		return &InvalidError{Field: field, Problem: fmt.Sprintf("has %d bytes: at most %d", len(s), MaxText)}
	case !utf8.ValidString(s) || strings.ContainsRune(s, 0):
		return &InvalidError{Field: field, Problem: fmt.Sprintf("is %q: it must be UTF-8 without NUL", s)}
	}
	return nil
}

func checkBody(field string, b []byte) error {
	if len(b) > MaxBody {
		return &InvalidError{Field: field, Problem: fmt.Sprintf("has %d bytes: at most %d", len(b), MaxBody)}
	}
	return nil
}

func firstOf(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
