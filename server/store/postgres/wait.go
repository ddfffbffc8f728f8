package postgres

import (
	"context"
	"errors"
	"strconv"
	"time"

	"github.com/jackc/pgx/v5"

	"heirpress/server/store"
)

// poll is how often the listener looks for what it was not told of, and tries to
// connect again.
const poll = 500 * time.Millisecond

// Wait is store.Store's. While the database cannot be reached, it waits on.
func (s *Store) Wait(ctx context.Context, after uint64) error {
	for {
		if err := s.usable(ctx); err != nil {
			return err
		}
		// Asked for before the head is read, so that no commit falls between.
		known, moved := s.moved.Next()
		if known > after {
			return nil
		}
		if err := s.look(ctx); err != nil {
			return err
		}
		if known, _ := s.moved.Next(); known > after {
			return nil
		}
		select {
		case <-moved:
		case <-ctx.Done():
		case <-s.closed:
		}
	}
}

// look reads the head, so that a wait begins from what is true.
func (s *Store) look(ctx context.Context) error {
	head, err := s.Head(ctx)
	var away *store.UnavailableError
	if errors.As(err, &away) {
		return nil
	}
	s.moved.Advance(head)
	return err
}

// listen keeps up with what other processes write until the store is closed: the
// commit of each tells all who listen, and should that be missed, the next look
// finds it. It begins on a connection it is given.
func (s *Store) listen(c *pgx.Conn) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	go func() {
		<-s.closed
		cancel()
	}()
	_ = s.listenOn(ctx, c) // it is begun again for as long as there is a store
	for ctx.Err() == nil {
		pause(ctx, poll)
		if c, err := s.place.connect(ctx, nil); err == nil {
			_ = s.listenOn(ctx, c)
		}
	}
}

func (s *Store) listenOn(ctx context.Context, c *pgx.Conn) error {
	defer hangUp(c)
	if _, err := c.Exec(ctx, `LISTEN `+pgx.Identifier{"heirpress_" + s.id}.Sanitize()); err != nil {
		return err
	}
	for {
		if err := s.lookOn(ctx, c); err != nil {
			return err
		}
		if err := s.hear(ctx, c); err != nil {
			return err
		}
	}
}

// lookOn reads the head on the listener's own connection.
func (s *Store) lookOn(ctx context.Context, c *pgx.Conn) error {
	ctx, cancel := context.WithTimeout(ctx, longestConnect)
	defer cancel()
	var head uint64
	err := c.QueryRow(ctx, headSQL).Scan(&head)
	s.moved.Advance(head)
	return err
}

// hear takes in what is told until it is time to look.
func (s *Store) hear(ctx context.Context, c *pgx.Conn) error {
	moment, cancel := context.WithTimeout(ctx, poll)
	defer cancel()
	for {
		told, err := c.WaitForNotification(moment)
		if err != nil {
			if moment.Err() != nil {
				return ctx.Err()
			}
			return err
		}
		if head, err := strconv.ParseUint(told.Payload, 10, 64); err == nil {
			s.moved.Advance(head)
		}
	}
}
