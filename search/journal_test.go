package search

import (
	"context"
	"iter"
	"slices"
	"sync"

	pb "heirpress/proto/heirpress/v1"
)

// journal is a Source in memory, with the truth beside it.
type journal struct {
	mu      sync.Mutex
	entries []Change
	all     truth
	more    chan struct{}
}

func newJournal() *journal { return &journal{all: newTruth(), more: make(chan struct{})} }

// write adds so many random entries: lots put in, changed, taken out, and
// entries about no lot.
func (j *journal) write(d dice, n int) {
	j.mu.Lock()
	defer j.mu.Unlock()
	for range n {
		number := uint64(len(j.entries) + 1)
		lot := d.lot(d.IntN(300), number)
		entry := Change{Number: number, Name: lot.Name, Lot: lot}
		switch {
		case d.chance(10):
			entry = Change{Number: number}
		case d.chance(15):
			entry.Lot = nil
			j.all.remove(lot.Name)
		default:
			j.all.put(lot)
		}
		j.entries = append(j.entries, entry)
	}
	close(j.more)
	j.more = make(chan struct{})
}

func (j *journal) head() uint64 {
	j.mu.Lock()
	defer j.mu.Unlock()
	return uint64(len(j.entries))
}

// until is the truth after a change number.
func (j *journal) until(change uint64) truth {
	j.mu.Lock()
	defer j.mu.Unlock()
	all := newTruth()
	for _, entry := range j.entries[:change] {
		switch {
		case entry.Name == "":
		case entry.Lot == nil:
			all.remove(entry.Name)
		default:
			all.put(entry.Lot)
		}
	}
	return all
}

// Changes returns entries in order.
func (j *journal) Changes(ctx context.Context, after uint64, limit int) ([]Change, error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	rest := j.entries[min(after, uint64(len(j.entries))):]
	return slices.Clone(rest[:min(limit, len(rest))]), ctx.Err()
}

// Wait returns when there is more.
func (j *journal) Wait(ctx context.Context, after uint64) error {
	for {
		j.mu.Lock()
		more, there := j.more, uint64(len(j.entries)) > after
		j.mu.Unlock()
		if there {
			return nil
		}
		select {
		case <-more:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// standing gives every lot as it stands.
func (j *journal) standing(context.Context) (uint64, iter.Seq2[*pb.Lot, error], error) {
	head := j.head()
	return head, func(yield func(*pb.Lot, error) bool) {
		for _, lot := range j.until(head).lots {
			if !yield(lot, nil) {
				return
			}
		}
	}, nil
}

// short is a journal that gives only a few entries at a time.
type short struct {
	*journal
	limit int
}

// Changes returns at most a few entries.
func (s short) Changes(ctx context.Context, after uint64, limit int) ([]Change, error) {
	return s.journal.Changes(ctx, after, min(limit, s.limit))
}
