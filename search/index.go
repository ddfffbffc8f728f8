package search

import (
	"context"
	"errors"
	"fmt"
	"os"
	"runtime"
	"sync"
	"time"

	pb "heirpress/proto/heirpress/v1"
)

// Options says how an index is opened. The zero value is good.
type Options struct {
	// LockWait is how long to wait for another process that has the index open.
	LockWait time.Duration
	// CheckFirst is how many bytes of index are held against their checksums
	// before Open returns; a greater index is checked while it is in use.
	// 0 means 64 MiB.
	CheckFirst int64
}

// Index is the index of all lots. Its methods may be called from many
// goroutines at once.
type Index struct {
	folder  *folder
	options Options

	// writing is held by whoever changes the index, or swaps it.
	writing sync.Mutex
	// rebuilding is held by the one rebuild there may be.
	rebuilding sync.Mutex
	// seats are taken by those who read the index: more at once than there are
	// cores would be no sooner done, and need the more memory.
	seats chan struct{}

	mu     sync.RWMutex // guards what follows
	closed bool
	now    *generation
	number int
	// moved is closed, and made anew, whenever the change number may have moved.
	moved chan struct{}
}

// Open opens the index in dir, which it makes if need be. An index that was
// made in another way, or that is damaged, is not used: the first is removed,
// the second set aside in dir, and an empty index begun at change 0. It returns
// ErrBusy while another process has the index open.
func Open(dir string, options Options) (*Index, error) {
	if options.CheckFirst == 0 {
		options.CheckFirst = 64 << 20
	}
	folder, err := takeFolder(dir, options.LockWait)
	if err != nil {
		return nil, err
	}
	x := &Index{folder: folder, options: options, moved: make(chan struct{}), seats: make(chan struct{}, runtime.GOMAXPROCS(0))}
	if err := x.openNewest(); err != nil {
		_ = folder.release()
		return nil, err
	}
	return x, nil
}

// openNewest opens the newest generation, or, if that is damaged, a new one.
func (x *Index) openNewest() (err error) {
	n, err := x.folder.current()
	if err != nil {
		return err
	}
	x.number = max(n, 1)
	x.now, err = openGeneration(x.folder.dir(x.number), x.options.CheckFirst)
	if !errors.Is(err, ErrDamaged) {
		return err
	}
	if err := x.folder.setAside(x.number); err != nil {
		return err
	}
	x.number++
	x.now, err = openGeneration(x.folder.dir(x.number), x.options.CheckFirst)
	return err
}

// Close waits for the searches under way, stops a rebuild, and closes the index.
func (x *Index) Close() error {
	if !x.markClosed() {
		return nil
	}
	x.rebuilding.Lock()
	defer x.rebuilding.Unlock()
	x.writing.Lock()
	defer x.writing.Unlock()
	return errors.Join(x.now.close(), x.folder.release())
}

// markClosed lets nobody in any more; false if that was done before.
func (x *Index) markClosed() bool {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.closed {
		return false
	}
	x.closed = true
	close(x.moved)
	return true
}

func (x *Index) isClosed() bool {
	x.mu.RLock()
	defer x.mu.RUnlock()
	return x.closed
}

// enter takes the generation of now for a search, once there is a seat. Call
// leave after it.
func (x *Index) enter(ctx context.Context) (*generation, error) {
	select {
	case x.seats <- struct{}{}:
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	g, err := x.use()
	if err != nil {
		<-x.seats
	}
	return g, err
}

func (x *Index) leave(g *generation) {
	g.users.Done()
	<-x.seats
}

// use takes the generation of now. Call users.Done after it.
func (x *Index) use() (*generation, error) {
	x.mu.RLock()
	defer x.mu.RUnlock()
	if x.closed {
		return nil, ErrClosed
	}
	if err := x.now.health(); err != nil {
		return nil, err
	}
	x.now.users.Add(1)
	return x.now, nil
}

// Change is the change number the index has reached: every write up to it is
// in the index.
func (x *Index) Change() uint64 {
	x.mu.RLock()
	defer x.mu.RUnlock()
	return x.now.change.Load()
}

// Apply puts lots in, takes lots out by name, and moves the change number to
// upTo: all of it or nothing, on disk when it returns. A batch that reaches no
// further than the index has already come changes nothing.
func (x *Index) Apply(ctx context.Context, upTo uint64, puts []*pb.Lot, deletes []string) error {
	facts, err := readAll(puts)
	if err != nil {
		return err
	}
	x.writing.Lock()
	defer x.writing.Unlock()
	if err := ctx.Err(); err != nil {
		return err
	}
	g, err := x.use()
	if err != nil {
		return err
	}
	defer g.users.Done()
	if upTo <= g.change.Load() {
		return nil
	}
	if err := g.apply(upTo, facts, deletes); err != nil {
		return err
	}
	x.announce()
	return nil
}

func readAll(lots []*pb.Lot) ([]*Facts, error) {
	facts := make([]*Facts, len(lots))
	for i, lot := range lots {
		if lot.GetName() == "" {
			return nil, fmt.Errorf("search: lot %d of the batch has no name", i)
		}
		facts[i] = Read(lot)
	}
	return facts, nil
}

// announce wakes everybody who waits for a change number.
func (x *Index) announce() {
	x.mu.Lock()
	defer x.mu.Unlock()
	if !x.closed {
		close(x.moved)
		x.moved = make(chan struct{})
	}
}

// WaitFor returns when the index has reached a change number, or with ctx's
// error, or ErrClosed.
func (x *Index) WaitFor(ctx context.Context, change uint64) error {
	for {
		x.mu.RLock()
		closed, moved, reached := x.closed, x.moved, x.now.change.Load()
		x.mu.RUnlock()
		switch {
		case closed:
			return ErrClosed
		case reached >= change:
			return nil
		}
		select {
		case <-moved:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// swap makes a generation that has been built aside the one of now, and removes
// the one before when the last search in it is done.
func (x *Index) swap(next *generation, number int) {
	x.mu.Lock()
	before := x.now
	x.now, x.number = next, number
	x.mu.Unlock()
	x.announce()
	// Whatever cannot be removed now, the next Open removes.
	_ = before.close()
	_ = os.RemoveAll(before.dir)
}
