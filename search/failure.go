package search

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"sync"

	"github.com/blevesearch/bleve/v2/index/scorch"
	bolterrors "go.etcd.io/bbolt/errors"
)

// openError tells damage from what is no fault of the files.
func openError(err error) error {
	switch {
	case errors.Is(err, ErrDamaged):
		return err
	case errors.Is(err, bolterrors.ErrTimeout):
		return ErrBusy
	case errors.Is(err, fs.ErrPermission), errors.Is(err, errNoSpace):
		return fmt.Errorf("search: %w", err)
	}
	return fmt.Errorf("%w: %v", ErrDamaged, err)
}

// recoverAs turns a panic of the library into an error.
func recoverAs(err *error) {
	if p := recover(); p != nil {
		*err = fmt.Errorf("panic: %v", p)
	}
}

// trouble tells what it means that the library failed: damage, if the files are
// not what they were. If they are, the failure is passed on, and the index stays
// in use: one odd query must not take it from everybody.
func (g *generation) trouble(err error) error {
	if !errors.Is(err, ErrDamaged) {
		switch damage := g.check(math.MaxInt64); {
		case damage == nil && g.unwritten.Load():
			return fmt.Errorf("%w: %v", ErrUnwritten, err)
		case damage == nil:
			return fmt.Errorf("search: %w", err)
		}
		err = fmt.Errorf("%w: %v", ErrDamaged, err)
	}
	g.fail(err)
	return err
}

// ErrUnwritten says that the index could not be written, as on a full disk, and
// that until it can be it does not answer for what it holds in memory: the
// library gives a segment up that it could not write.
var ErrUnwritten = errors.New("search: the index cannot be written")

// fail notes that the generation is damaged, here and on disk, so that the next
// Open sets it aside.
func (g *generation) fail(reason error) {
	g.failing.Do(func() {
		g.reason = reason
		_ = os.WriteFile(filepath.Join(g.dir, damagedMarker), []byte(reason.Error()+"\n"), 0o600)
		close(g.failed)
	})
}

// health is nil, or why the generation must not be used.
func (g *generation) health() error {
	select {
	case <-g.failed:
		return g.reason
	default:
		return nil
	}
}

// asyncErrors names the function that hears of trouble in the library's own
// goroutines; open finds the generation it is about, by its path.
const asyncErrors = "heirpress"

var openGenerations sync.Map

func init() {
	scorch.RegistryAsyncErrorCallbacks[asyncErrors] = func(err error, path string) {
		switch g, ok := openGenerations.Load(path); {
		case !ok:
		case errors.Is(err, scorch.ErrAsyncPanic):
			g.(*generation).fail(fmt.Errorf("%w: %v", ErrDamaged, err))
		case errors.Is(err, scorch.ErrPersist):
			g.(*generation).unwritten.Store(true)
		}
	}
}
