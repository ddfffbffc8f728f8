package alerts

import (
	"context"
	"slices"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/server/store"
)

// ahead knows the lots that were changed or deleted in the part of the journal
// that the matcher has not come to yet. The index may be there already: a lot
// that met a want, and has ceased to since, it no longer finds. A lot that was
// only made there needs no place here, for it did not stand before.
type ahead struct {
	to   uint64 // up to where the journal was read
	lots map[string]*aheadLot
	held int // lots that are kept in memory as they were
}

// aheadLot is a lot that is going to change.
type aheadLot struct {
	changes []uint64 // by which it was changed or deleted; growing
	was     past     // up to the first of changes, if known
	known   bool
}

// past is a lot as it was at some change, and what filters ask of it; both nil if
// it was not.
type past struct {
	lot   *pb.Lot
	facts *search.Facts
}

// mostHeld is how many lots are kept in memory as they were. The others are read
// again for each want; it takes a great many changes at once to have so many.
var mostHeld = 5000

func nothingAhead() *ahead { return &ahead{lots: map[string]*aheadLot{}} }

// read reads the journal on to its end.
func (a *ahead) read(ctx context.Context, from store.Reader, at uint64) error {
	for a.to = max(a.to, at); ; {
		changes, err := from.Changes(ctx, a.to, batch, store.Lots)
		if err != nil || len(changes) == 0 {
			return err
		}
		for _, c := range changes {
			a.to = c.Number
			if c.Op != store.OpCreate {
				a.note(c.Record.Name, c.Number)
			}
		}
	}
}

func (a *ahead) note(name string, number uint64) {
	one := a.lots[name]
	if one == nil {
		one = &aheadLot{}
		a.lots[name] = one
	}
	one.changes = append(one.changes, number)
}

// pass forgets the changes up to one.
func (a *ahead) pass(to uint64) {
	for name, one := range a.lots {
		left, _ := slices.BinarySearch(one.changes, to+1)
		if left == 0 {
			continue
		}
		a.forget(one)
		if one.changes = one.changes[left:]; len(one.changes) == 0 {
			delete(a.lots, name)
		}
	}
}

// hold keeps a lot that stands; one that does not may be made by a change that is
// not noted.
func (a *ahead) hold(one *aheadLot, was past) {
	if !one.known && a.held < mostHeld {
		a.held++
		one.was, one.known = was, true
	}
}

func (a *ahead) forget(one *aheadLot) {
	if one.known {
		a.held--
		one.was, one.known = past{}, false
	}
}

// aheadAt returns the lots of ahead that stood at a change, as they were then,
// except those named. Changes are asked for in order.
func (m *Matcher) aheadAt(ctx context.Context, at uint64, except map[string]bool) ([]past, error) {
	m.ahead.pass(at)
	if err := m.ahead.read(ctx, m.store, at); err != nil {
		return nil, err
	}
	var stood []past
	for name, one := range m.ahead.lots {
		if except[name] {
			continue
		}
		was := one.was
		if !one.known {
			var err error
			if was, err = m.pastAt(ctx, name, at); err != nil {
				return nil, err
			}
		}
		if was.lot != nil {
			m.ahead.hold(one, was)
			stood = append(stood, was)
		}
	}
	return stood, nil
}

// pastAt is a lot as it was just before a change.
func (m *Matcher) pastAt(ctx context.Context, name string, before uint64) (past, error) {
	lot, err := m.lotAt(ctx, name, before)
	if err != nil || lot == nil {
		return past{}, err
	}
	return past{lot, search.Read(lot)}, nil
}
