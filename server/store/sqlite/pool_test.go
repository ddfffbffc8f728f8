package sqlite

import (
	"testing"
)

// TestGiveUnended gives back a connection whose transaction did not end: the next
// to take one must not find itself in it.
func TestGiveUnended(t *testing.T) {
	s, err := Open(t.TempDir() + "/registry.db")
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	c, err := s.writer.take(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := c.exec(`BEGIN IMMEDIATE; INSERT INTO cursor (follower, change) VALUES ('index', 7)`); err != nil {
		t.Fatal(err)
	}
	s.writer.give(c)
	if c, err = s.writer.take(t.Context()); err != nil {
		t.Fatal(err)
	}
	defer s.writer.give(c)
	if err := c.exec(`BEGIN IMMEDIATE; COMMIT`); err != nil {
		t.Errorf("the next transaction: %v", err)
	}
	if n, err := s.Cursor(t.Context(), "index"); n != 0 || err != nil {
		t.Errorf("what was not committed is there: cursor %d, error %v", n, err)
	}
}
