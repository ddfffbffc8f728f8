package search

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"testing"
	"time"
)

// A follower that is stopped anywhere, and begun again, loses and repeats
// nothing.
func TestFollowStoppedAndBegunAgain(t *testing.T) {
	d, j, dir := newDice(21), newJournal(), t.TempDir()
	for range 8 {
		j.write(d, 50+d.IntN(100))
		x, err := Open(dir, Options{})
		if err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithCancel(context.Background())
		done := make(chan error, 1)
		go func() { done <- Follow(ctx, x, short{j, 7}) }()
		if err := x.WaitFor(ctx, j.head()-uint64(d.IntN(40))); err != nil {
			t.Fatal(err)
		}
		cancel()
		if err := <-done; !errors.Is(err, context.Canceled) {
			t.Fatalf("follow ended with %v", err)
		}
		at := j.until(x.Change())
		for range 5 {
			f := d.filter()
			agree(t, x, at, f, d.order(f), 30)
		}
		if err := x.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// followerDir tells a child process where to follow, until it is killed.
const followerDir = "HEIRPRESS_TEST_FOLLOWER"

// A follower that is killed in the middle of writing leaves an index that is
// what its change number says.
func TestFollowKilled(t *testing.T) {
	j := newJournal()
	j.write(newDice(22), 1500)
	if dir := os.Getenv(followerDir); dir != "" {
		x, err := Open(dir, Options{LockWait: time.Second})
		if err != nil {
			t.Fatal(err)
		}
		t.Fatal(Follow(context.Background(), x, short{j, 3}))
	}
	d, dir := newDice(23), t.TempDir()
	for range 8 {
		kill(t, dir, time.Duration(20+d.IntN(250))*time.Millisecond)
		x, err := Open(dir, Options{LockWait: time.Second})
		if err != nil {
			t.Fatal(err)
		}
		at := j.until(x.Change())
		for range 5 {
			f := d.filter()
			agree(t, x, at, f, d.order(f), 30)
		}
		if err := x.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// kill follows in another process, and kills it after a while.
func kill(t *testing.T, dir string, after time.Duration) {
	t.Helper()
	child := exec.Command(os.Args[0], "-test.run=^TestFollowKilled$")
	child.Env = append(os.Environ(), followerDir+"="+dir)
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	time.Sleep(after)
	if err := child.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = child.Wait() // It was killed: that is no news.
}

// broken is a journal that cannot be read, or not waited for.
type broken struct{ changes, wait error }

// Changes fails if it is to.
func (b broken) Changes(context.Context, uint64, int) ([]Change, error) { return nil, b.changes }

// Wait fails if it is to.
func (b broken) Wait(context.Context, uint64) error { return b.wait }

func TestFollowPassesErrorsOn(t *testing.T) {
	x := openIndex(t, t.TempDir())
	want := errors.New("the journal is shut")
	for _, source := range []broken{{changes: want}, {wait: want}} {
		if err := Follow(context.Background(), x, source); !errors.Is(err, want) {
			t.Errorf("%v, not the journal's own error", err)
		}
	}
}

func TestWaitFor(t *testing.T) {
	x, err := Open(t.TempDir(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	reached, stopped, closed := make(chan error, 1), make(chan error, 1), make(chan error, 1)
	go func() { reached <- x.WaitFor(context.Background(), 3) }()
	go func() { stopped <- x.WaitFor(ctx, 9) }()
	go func() { closed <- x.WaitFor(context.Background(), 9) }()
	cancel()
	if err := <-stopped; !errors.Is(err, context.Canceled) {
		t.Errorf("after cancel: %v", err)
	}
	for change := range uint64(3) {
		if err := x.Apply(context.Background(), change+1, nil, nil); err != nil {
			t.Fatal(err)
		}
	}
	if err := <-reached; err != nil {
		t.Errorf("after change 3: %v", err)
	}
	if err := x.Close(); err != nil {
		t.Fatal(err)
	}
	if err := <-closed; !errors.Is(err, ErrClosed) {
		t.Errorf("after close: %v", err)
	}
}
