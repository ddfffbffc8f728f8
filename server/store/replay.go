package store

import (
	"context"
	"fmt"
	"time"
)

// Replay does in a transaction what entries of another journal tell, for an
// engine's method of that name. The engine sets the transaction's time by setTime.
func Replay(ctx context.Context, tx Tx, changes []Change, setTime func(time.Time)) error {
	head, err := tx.Head(ctx)
	if err != nil {
		return err
	}
	last, err := tx.Changes(ctx, max(head, 1)-1, 1)
	if err != nil {
		return err
	}
	var at time.Time
	if len(last) > 0 {
		at = last[0].Time
	}
	for _, c := range changes {
		head++
		if err := follows(c, head, at); err != nil {
			return err
		}
		at = c.Time
		setTime(at)
		if err := redo(ctx, tx, c); err != nil {
			return fmt.Errorf("change %d: %w", c.Number, err)
		}
	}
	return nil
}

// follows checks that an entry is the one of a number, and not before a time.
func follows(c Change, number uint64, at time.Time) error {
	switch {
	case c.Number != number:
		return misplaced(c, "cannot be written: the journal goes on with %d", number)
	case c.Time.Before(at):
		return misplaced(c, "is of %v, before the change it follows", c.Time)
	case !c.Time.Equal(c.Time.Truncate(time.Microsecond)):
		return misplaced(c, "is of %v: times go to the microsecond", c.Time)
	}
	return nil
}

func misplaced(c Change, problem string, args ...any) error {
	return &InvalidError{Field: fmt.Sprintf("change %d", c.Number), Problem: fmt.Sprintf(problem, args...)}
}

// redo does what an entry tells, and checks that it leads to what the entry has.
func redo(ctx context.Context, tx Tx, c Change) (err error) {
	var r Record
	switch c.Op {
	case OpCreate:
		r, err = tx.Create(ctx, c.Record)
	case OpUpdate:
		r, err = tx.Update(ctx, c.Record)
	case OpDelete:
		r, err = redoDelete(ctx, tx, c)
	default:
		return misplaced(c, "has the operation %d: 1, 2 or 3", c.Op)
	}
	if err == nil && !r.Same(c.Record) {
		err = misplaced(c, "does not fit the record as it is here")
	}
	return err
}

// redoDelete deletes a record. Where the entry's body was erased and those before
// it were not, for they were read earlier, it erases them too.
func redoDelete(ctx context.Context, tx Tx, c Change) (Record, error) {
	r, err := tx.Get(ctx, c.Record.Name)
	if err != nil {
		return Record{}, err
	}
	if r.Revision, err = tx.Delete(ctx, c.Record.Name); err != nil {
		return Record{}, err
	}
	if len(c.Record.Body) == 0 && len(r.Body) > 0 {
		r.Body = nil
		_, err = tx.Erase(ctx, c.Record.Name)
	}
	return r, err
}

// Same tells whether two records are the same to the byte.
func (r Record) Same(other Record) bool {
	return r.Name == other.Name && r.Collection == other.Collection && r.Parent == other.Parent && r.Key == other.Key &&
		r.Open == other.Open && string(r.Body) == string(other.Body) && r.Created == other.Created && r.Revision == other.Revision
}

// Same tells whether two entries say the same.
func (c Change) Same(other Change) bool {
	return c.Number == other.Number && c.Op == other.Op && c.Time.Equal(other.Time) && c.Record.Same(other.Record)
}
