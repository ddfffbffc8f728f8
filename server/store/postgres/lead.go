package postgres

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"time"

	"github.com/jackc/pgx/v5"
)

// Times of Lead. A holder that is gone, frozen or cut off is dropped by the
// server when it has been silent for as long as leaseSilence; whoever waits then
// has the task at the next try. Together they stay under five seconds.
const (
	leaseSilence = 3 * time.Second
	leaseBeat    = 500 * time.Millisecond // between signs of life, and between tries
	leaseAnswer  = 2 * time.Second        // the longest a sign of life may take
)

// Lead runs do whenever this process, of all that share the registry, has a
// task, until ctx is done. The context given to do ends as soon as the task may
// have gone to another; do must then return, and is run again when the task
// comes back. Between the server's dropping of a silent holder and the holder's
// noticing there can be a moment of two: what do writes must bear that, as by
// looking in the same transaction at a cursor that the other would have moved.
func (s *Store) Lead(ctx context.Context, task string, do func(context.Context)) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	go func() {
		select {
		case <-s.closed:
			cancel()
		case <-ctx.Done():
		}
	}()
	for ctx.Err() == nil {
		s.leadOnce(ctx, task, do)
		pause(ctx, leaseBeat)
	}
}

// leaseKey is the advisory lock of a task.
func leaseKey(id, task string) int64 {
	sum := sha256.Sum256([]byte(id + "/" + task))
	return int64(binary.BigEndian.Uint64(sum[:]))
}

// leadOnce waits for the task on a connection of its own, and does it for as long
// as that lives: PostgreSQL lets go of the lock with the connection.
func (s *Store) leadOnce(ctx context.Context, task string, do func(context.Context)) {
	c, err := s.place.connect(ctx, map[string]string{
		"idle_session_timeout": milliseconds(leaseSilence),
		// So that an operator sees in pg_stat_activity who waits for it or has it.
		"application_name": s.place.config.RuntimeParams["application_name"] + "/" + task,
	})
	if err != nil {
		return
	}
	defer hangUp(c)
	for got := false; !got; {
		if got, err = tryLock(ctx, c, leaseKey(s.id, task)); err != nil {
			return
		}
		if !got {
			pause(ctx, leaseBeat)
		}
	}
	held, lose := context.WithCancel(ctx)
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		defer lose() // should do return of itself
		do(held)
	}()
	for answers(held, c) {
		pause(held, leaseBeat)
	}
	lose()
	<-ended // the lock is not let go before do has ended
}

func tryLock(ctx context.Context, c *pgx.Conn, key int64) (got bool, err error) {
	ctx, cancel := context.WithTimeout(ctx, leaseAnswer)
	defer cancel()
	err = c.QueryRow(ctx, `SELECT pg_try_advisory_lock($1)`, key).Scan(&got)
	return got, err
}

// answers gives the server a sign of life and tells whether it came back.
func answers(ctx context.Context, c *pgx.Conn) bool {
	ctx, cancel := context.WithTimeout(ctx, leaseAnswer)
	defer cancel()
	return c.Ping(ctx) == nil
}

// hangUp ends a connection, be the server there or not.
func hangUp(c *pgx.Conn) {
	ctx, cancel := context.WithTimeout(context.Background(), leaseAnswer)
	defer cancel()
	_ = c.Close(ctx) // it is gone in any case
}

func pause(ctx context.Context, d time.Duration) {
	select {
	case <-ctx.Done():
	case <-time.After(d):
	}
}
