package search

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// An index that is open elsewhere is refused at once, or waited for.
func TestOpenTwice(t *testing.T) {
	dir := t.TempDir()
	first, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Open(dir, Options{}); !errors.Is(err, ErrBusy) {
		t.Fatalf("opened twice: %v, not ErrBusy", err)
	}
	if _, err := Open(dir, Options{LockWait: 10 * time.Millisecond}); !errors.Is(err, ErrBusy) {
		t.Fatalf("opened twice after a while: %v, not ErrBusy", err)
	}
	closed := make(chan error, 1)
	go func() { closed <- first.Close() }()
	second, err := Open(dir, Options{LockWait: time.Minute})
	if err != nil {
		t.Fatalf("after the first was closed: %v", err)
	}
	if err := errors.Join(<-closed, second.Close()); err != nil {
		t.Fatal(err)
	}
}

// What is no fault of the files is reported, and nothing set aside.
func TestOpenWhereNothingCanBeWritten(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "file"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if x, err := Open(filepath.Join(dir, "file"), Options{}); err == nil {
		_ = x.Close()
		t.Error("opened an index in a file")
	}
	if err := os.Mkdir(filepath.Join(dir, lockFile), 0o700); err != nil {
		t.Fatal(err)
	}
	if x, err := Open(dir, Options{}); err == nil {
		_ = x.Close()
		t.Error("opened an index without a lock")
	}
}

func TestOpenErrors(t *testing.T) {
	for _, err := range []error{os.ErrPermission, errNoSpace} {
		if got := openError(err); errors.Is(got, ErrDamaged) || !errors.Is(got, err) {
			t.Errorf("%v becomes %v", err, got)
		}
	}
	if got := openError(os.ErrInvalid); !errors.Is(got, ErrDamaged) {
		t.Errorf("%v becomes %v, not ErrDamaged", os.ErrInvalid, got)
	}
}

func TestClosedIndex(t *testing.T) {
	x, err := Open(t.TempDir(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(x.Close(), x.Close()); err != nil {
		t.Errorf("closing twice: %v", err)
	}
	if _, err := x.Search(context.Background(), Query{}); !errors.Is(err, ErrClosed) {
		t.Errorf("search: %v, not ErrClosed", err)
	}
	if err := x.Apply(context.Background(), 1, nil, nil); !errors.Is(err, ErrClosed) {
		t.Errorf("apply: %v, not ErrClosed", err)
	}
}

// Files that are too large to check before opening are checked afterwards.
func TestCheckedWhileInUse(t *testing.T) {
	b := buildForDamage(t, 12)
	x, err := Open(b.dir, Options{CheckFirst: 1})
	if err != nil {
		t.Fatal(err)
	}
	x.now.checks.Wait()
	if err := errors.Join(x.now.health(), x.Close()); err != nil {
		t.Fatalf("a sound index: %v", err)
	}
	spoilFooters(t, b.dir)
	if x, err = Open(b.dir, Options{CheckFirst: 1}); err != nil {
		t.Fatal(err)
	}
	x.now.checks.Wait()
	if _, err := x.Search(context.Background(), Query{}); !isDamaged(err) {
		t.Errorf("search: %v, not ErrDamaged", err)
	}
	if err := x.Close(); err != nil {
		t.Fatal(err)
	}
}

// spoilFooters changes the checksums of segments that are otherwise whole.
func spoilFooters(t *testing.T, dir string) {
	t.Helper()
	segments, err := filepath.Glob(filepath.Join(dir, newest(t, dir), storeFolder, "*.zap"))
	if err != nil || len(segments) == 0 {
		t.Fatalf("segments: %v, %v", segments, err)
	}
	for _, path := range segments {
		content, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		content[len(content)-1] ^= 1
		if err := os.WriteFile(path, content, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}
