package search

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"sync/atomic"
	"time"

	"github.com/blevesearch/bleve/v2/index/scorch"
	bleve "github.com/blevesearch/bleve_index_api"
)

// generation is one index on disk, open. A rebuild makes the next one.
type generation struct {
	dir     string
	store   bleve.Index
	queue   *bleve.AnalysisQueue
	change  atomic.Uint64
	columns columnCache
	living  livingCache
	// unwritten tells that the last batch could not be written.
	unwritten atomic.Bool

	// users are the searches under way: files go only when they are done.
	users sync.WaitGroup
	// checks are segment files still being held against their checksums.
	checks  sync.WaitGroup
	closing chan struct{}

	failing sync.Once
	// failed is closed once damage was found; the reason is set before.
	failed chan struct{}
	reason error
}

// openGeneration opens the index in dir, or begins an empty one. It returns
// ErrDamaged for an index that cannot be trusted. Segments of up to checkFirst
// bytes in all are checked before it returns, the rest afterwards.
func openGeneration(dir string, checkFirst int64) (g *generation, err error) {
	if err := fitToOpen(dir); err != nil {
		return nil, err
	}
	g = &generation{dir: dir, closing: make(chan struct{}), failed: make(chan struct{})}
	g.queue = bleve.NewAnalysisQueue(runtime.GOMAXPROCS(0))
	if err := g.openStore(); err != nil {
		g.queue.Close()
		return nil, openError(err)
	}
	if err := g.check(checkFirst); err != nil {
		_ = g.closeStore()
		return nil, openError(err)
	}
	return g, nil
}

// fitToOpen looks for damage before the library touches anything.
func fitToOpen(dir string) error {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fmt.Errorf("search: %w", err)
	}
	if _, err := os.Stat(filepath.Join(dir, damagedMarker)); err == nil {
		return fmt.Errorf("%w: it was found so before", ErrDamaged)
	}
	return breakSeal(dir)
}

// openStore opens the library's index. Damage may make the library panic.
func (g *generation) openStore() (err error) {
	defer recoverAs(&err)
	path := filepath.Join(g.dir, storeFolder)
	store, err := scorch.NewScorch(scorch.Name, map[string]any{
		"path":                   path,
		"bolt_timeout":           "1s",
		"asyncErrorCallbackName": asyncErrors,
	}, g.queue)
	if err != nil {
		return err
	}
	if err := store.Open(); err != nil {
		return err
	}
	g.store = store
	openGenerations.Store(path, g)
	return nil
}

// check reads the change number, and holds the files against their checksums.
func (g *generation) check(checkFirst int64) (err error) {
	defer recoverAs(&err)
	snapshot, err := g.snapshot()
	if err != nil {
		return err
	}
	defer func() { _ = snapshot.Close() }()
	change, err := readChange(snapshot)
	if err != nil {
		return err
	}
	g.change.Store(change)
	return g.checkSegments(snapshot, checkFirst)
}

// snapshot is the index as it now stands. Close it after use.
func (g *generation) snapshot() (*scorch.IndexSnapshot, error) {
	reader, err := g.store.Reader()
	if err != nil {
		return nil, err
	}
	snapshot, ok := reader.(*scorch.IndexSnapshot)
	if !ok || snapshot == nil {
		return nil, ErrClosed
	}
	return snapshot, nil
}

// apply writes a batch and the change number it reaches, and returns when both
// are on disk.
func (g *generation) apply(upTo uint64, puts []*Facts, deletes []string) error {
	batch := bleve.NewBatch()
	for _, name := range deletes {
		batch.Delete(name)
	}
	for _, lot := range puts {
		batch.Update(newDocument(lot))
	}
	batch.SetInternal(changeKey, writeChange(upTo))
	done := make(chan error, 1)
	go func() { done <- g.write(batch) }()
	select {
	case err := <-done:
		g.unwritten.Store(err != nil)
		if err != nil {
			return g.trouble(err)
		}
	case <-g.failed: // The library's own goroutines died: nobody would answer.
		return g.reason
	}
	g.change.Store(upTo)
	g.forgetColumns()
	return nil
}

// write hands a batch to the library.
func (g *generation) write(batch *bleve.Batch) (err error) {
	defer recoverAs(&err)
	return g.store.Batch(batch)
}

// close waits for the searches under way, and closes the files.
func (g *generation) close() error {
	g.users.Wait()
	if g.health() != nil {
		return g.closeDamaged()
	}
	if err := g.closeStore(); err != nil || g.health() != nil {
		return err
	}
	return seal(g.dir)
}

// damagedGrace is how long a damaged store has for closing.
const damagedGrace = 2 * time.Second

// closeDamaged closes a store whose files are not what they were. The library's
// own goroutines may go round in circles over them for ever and cannot be
// stopped from outside, so after a while they are left to themselves: the files
// are set aside by the next Open, and never read again.
func (g *generation) closeDamaged() error {
	closed := make(chan error, 1)
	go func() { closed <- g.closeStore() }()
	select {
	case err := <-closed:
		return err
	case <-time.After(damagedGrace):
		return nil
	}
}

func (g *generation) closeStore() (err error) {
	defer recoverAs(&err)
	close(g.closing)
	g.checks.Wait()
	openGenerations.Delete(filepath.Join(g.dir, storeFolder))
	err = g.store.Close()
	g.queue.Close()
	return err
}
