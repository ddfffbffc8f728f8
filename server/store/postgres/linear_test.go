//go:build unix

package postgres_test

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"github.com/anishathalye/porcupine"

	"heirpress/server/store"
	"heirpress/server/store/postgres"
	"heirpress/server/store/postgres/pgtest"
	"heirpress/server/store/storetest"
)

// What a client asks of one record.
type asked struct {
	record string
	op     string // read, write, or swap: write if it still has the value old
	old    uint64
	value  uint64
}

// What it was told.
type told struct {
	value   uint64
	swapped bool
	unknown bool // whether it was done
}

// register is what one record must behave as: a value that each call sees or
// changes at one moment between its begin and its end.
var register = porcupine.Model{
	Partition: func(history []porcupine.Operation) [][]porcupine.Operation {
		records := map[string][]porcupine.Operation{}
		for _, o := range history {
			name := o.Input.(asked).record
			records[name] = append(records[name], o)
		}
		var parts [][]porcupine.Operation
		for _, part := range records {
			parts = append(parts, part)
		}
		return parts
	},
	Init: func() any { return uint64(0) },
	Step: func(state, input, output any) (bool, any) {
		now, in, out := state.(uint64), input.(asked), output.(told)
		switch {
		case in.op == "read":
			return out.value == now, now
		case in.op == "write":
			return true, in.value
		case out.unknown && in.old == now:
			return true, in.value
		case out.unknown:
			return true, now
		}
		if out.swapped {
			return in.old == now, in.value
		}
		return in.old != now && out.value == now, now
	},
	DescribeOperation: func(input, output any) string { return fmt.Sprintf("%+v → %+v", input, output) },
}

// linear has 8 clients of 3 daemons read and change a few records while
// PostgreSQL is stopped at once and started again, and checks that every record
// behaved as if there were one copy of it.
func linear(t *testing.T, server *pgtest.Server) {
	const clients, records = 8, 4
	address := server.Schema()
	var daemons []*postgres.Store
	for range 3 {
		daemons = append(daemons, open(t, address))
	}
	for i := range records {
		if err := add(t.Context(), daemons[0], recordName(i)); err != nil {
			t.Fatal(err)
		}
	}
	h := &history{t: t, began: time.Now()}
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	var all sync.WaitGroup
	for client := range clients {
		all.Go(func() { h.play(ctx, daemons[client%len(daemons)], client, records) })
	}
	for range *crashes {
		time.Sleep(time.Duration(100+rand.IntN(200)) * time.Millisecond)
		server.Crash(t)
		server.Restart(t)
	}
	time.Sleep(100 * time.Millisecond)
	stop()
	all.Wait()
	t.Logf("%d calls, %d of them of unknown outcome", len(h.calls), h.unknown)
	if got := porcupine.CheckOperationsTimeout(register, h.calls, time.Minute); got != porcupine.Ok {
		t.Errorf("the history of calls is not linearizable: %s", got)
	}
	if err := storetest.Check(t.Context(), daemons[0]); err != nil {
		t.Error(err)
	}
}

func recordName(i int) string { return fmt.Sprint("register-", i) }

// history is what all clients asked and were told, and when.
type history struct {
	t     *testing.T
	began time.Time

	mu      sync.Mutex
	calls   []porcupine.Operation
	unknown int
}

func (h *history) play(ctx context.Context, s store.Store, client, records int) {
	last := map[string]uint64{} // what this client last knew of each record
	for n := uint64(1); ctx.Err() == nil; n++ {
		in := asked{record: recordName(rand.IntN(records)), op: [...]string{"read", "write", "swap", "swap"}[rand.IntN(4)],
			value: uint64(client)<<32 | n}
		in.old = last[in.record]
		call := time.Since(h.began).Nanoseconds()
		out, err := in.ask(context.WithoutCancel(ctx), s)
		if !h.keep(client, call, in, out, err) {
			return
		}
		last[in.record] = out.value
	}
}

// keep notes a call, unless it is known to have done nothing.
func (h *history) keep(client int, call int64, in asked, out told, err error) bool {
	end := time.Since(h.began).Nanoseconds()
	var away *store.UnavailableError
	if err != nil && !errors.As(err, &away) {
		h.t.Error(err)
		return false
	}
	if err != nil && !away.Unknown {
		return true
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if err != nil {
		out, end = told{unknown: true}, math.MaxInt64 // it may yet take effect at any time
		h.unknown++
		client = 1000 + h.unknown // the client goes on meanwhile
	}
	h.calls = append(h.calls, porcupine.Operation{ClientId: client, Input: in, Call: call, Output: out, Return: end})
	return true
}

func (in asked) ask(ctx context.Context, s store.Store) (out told, err error) {
	if in.op == "read" {
		r, err := s.Get(ctx, in.record)
		return told{value: value(r)}, err
	}
	err = s.Write(ctx, func(tx store.Tx) error {
		r, err := tx.Get(ctx, in.record)
		if err != nil {
			return err
		}
		if out = (told{value: value(r)}); in.op == "swap" && out.value != in.old {
			return nil
		}
		out = told{value: in.value, swapped: true}
		r.Body = binary.BigEndian.AppendUint64(nil, in.value)
		_, err = tx.Update(ctx, r)
		return err
	})
	return out, err
}

func value(r store.Record) uint64 {
	if len(r.Body) == 0 {
		return 0
	}
	return binary.BigEndian.Uint64(r.Body)
}
