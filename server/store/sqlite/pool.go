package sqlite

import (
	"context"
	"errors"
	"sync"

	"heirpress/server/store"
)

// pool lends connections, each to one goroutine at a time, and opens them when
// first needed. The one last given back is lent first, so that its cache is warm
// and a process that asks one thing at a time opens only one.
type pool struct {
	open   func() (*conn, error)
	closed <-chan struct{}
	lent   chan struct{} // one element for each connection lent

	mu   sync.Mutex
	idle []*conn
}

func newPool(size int, closed <-chan struct{}, open func() (*conn, error)) *pool {
	return &pool{open: open, closed: closed, lent: make(chan struct{}, size)}
}

// take borrows a connection, waiting until there is one or ctx is done.
func (p *pool) take(ctx context.Context) (*conn, error) {
	if err := p.usable(ctx); err != nil {
		return nil, err
	}
	select {
	case p.lent <- struct{}{}:
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-p.closed:
		return nil, store.ErrClosed
	}
	if c := p.pop(); c != nil {
		return c, nil
	}
	c, err := p.open()
	if err != nil {
		<-p.lent
		return nil, err
	}
	return c, nil
}

func (p *pool) usable(ctx context.Context) error {
	select {
	case <-p.closed:
		return store.ErrClosed
	default:
		return ctx.Err()
	}
}

func (p *pool) pop() *conn {
	p.mu.Lock()
	defer p.mu.Unlock()
	last := len(p.idle) - 1
	if last < 0 {
		return nil
	}
	c := p.idle[last]
	p.idle = p.idle[:last]
	return c
}

// give takes a connection back, or closes it if it could not end its
// transaction: the next one to need it opens another.
func (p *pool) give(c *conn) {
	if c.db.GetAutocommit() {
		p.mu.Lock()
		p.idle = append(p.idle, c)
		p.mu.Unlock()
	} else {
		c.close()
	}
	<-p.lent
}

// drain waits for what is lent and closes all.
func (p *pool) drain() error {
	for range cap(p.lent) {
		p.lent <- struct{}{}
	}
	var errs []error
	for c := p.pop(); c != nil; c = p.pop() {
		errs = append(errs, c.close())
	}
	return errors.Join(errs...)
}
