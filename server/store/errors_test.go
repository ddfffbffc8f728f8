package store_test

import (
	"strings"
	"testing"

	"heirpress/server/store"
)

// TestErrors: an error says what it is about and what to do.
func TestErrors(t *testing.T) {
	for _, c := range []struct {
		err  error
		says []string
	}{
		{&store.ExistsError{Name: "shops/a"}, []string{"shops/a already exists"}},
		{&store.ExistsError{Name: "shops/a/lots/b", Key: "17"}, []string{"shops/a/lots/b", `already has the key "17"`}},
		{&store.InvalidError{Field: "record.name", Problem: "is empty"}, []string{"record.name is empty"}},
		{&store.NewerError{Path: "/r.db", Found: 3, Known: 2}, []string{"/r.db", "version 3", "up to 2", "newer heirpress"}},
		{&store.UnusableError{Path: "/r.db", Reason: "it is cut off"}, []string{"/r.db", "it is cut off", "put back a copy"}},
	} {
		for _, says := range c.says {
			if !strings.Contains(c.err.Error(), says) {
				t.Errorf("%q does not say %q", c.err, says)
			}
		}
	}
}
