package backup

import (
	"context"
	"fmt"

	"heirpress/server/store"
)

// Faithful tells whether the records of a registry are those that were restored
// from its backup, but for what was written since the backup's last change. A
// backup is made of the journal alone, so this is what would show that records
// and journal have come apart.
func Faithful(ctx context.Context, live, restored store.Movable, info Info) error {
	kinds, err := collections(ctx, restored)
	if err != nil {
		return err
	}
	f := faith{live: live, head: info.Changes}
	for c := range kinds {
		if err := eachPage(ctx, restored, c, func(page []store.Record) error { return f.compare(ctx, page) }); err != nil {
			return err
		}
		if err := eachPage(ctx, live, c, func(page []store.Record) error { return f.known(ctx, restored, page) }); err != nil {
			return err
		}
	}
	return nil
}

// collections are those that the journal tells of.
func collections(ctx context.Context, s store.Reader) (map[store.Collection]bool, error) {
	all := map[store.Collection]bool{}
	for at := uint64(0); ; {
		changes, err := s.Changes(ctx, at, 0)
		if err != nil || len(changes) == 0 {
			return all, err
		}
		for _, c := range changes {
			at = c.Number
			all[c.Record.Collection] = true
		}
	}
}

// eachPage calls do with the records of a collection, some hundred at a time.
func eachPage(ctx context.Context, s store.Reader, c store.Collection, do func([]store.Record) error) error {
	for l := (store.Listing{Collection: c, AnyParent: true, Limit: 500}); ; {
		page, err := s.List(ctx, l)
		if err != nil || len(page) == 0 {
			return err
		}
		if err := do(page); err != nil {
			return err
		}
		l.After = page[len(page)-1].Created
	}
}

type faith struct {
	live store.Movable
	head uint64
}

// compare looks for records as they were restored.
func (f faith) compare(ctx context.Context, restored []store.Record) error {
	there, err := byName(ctx, f.live, restored)
	if err != nil {
		return err
	}
	for _, r := range restored {
		now, ok := there[r.Name]
		if !ok {
			if err := f.deletedSince(ctx, r); err != nil {
				return err
			}
			continue
		}
		if now.Revision <= f.head && !now.Same(r) {
			return apart(r.Name, "is not as its journal tells")
		}
	}
	return nil
}

func (f faith) deletedSince(ctx context.Context, r store.Record) error {
	last, err := f.live.History(ctx, r.Name, 0, 1)
	if err == nil && (len(last) == 0 || last[0].Number <= f.head) {
		err = apart(r.Name, "is not there, and its journal tells of it")
	}
	return err
}

// known looks for records that no journal tells of.
func (f faith) known(ctx context.Context, restored store.Movable, live []store.Record) error {
	there, err := byName(ctx, restored, live)
	if err != nil {
		return err
	}
	for _, r := range live {
		if _, ok := there[r.Name]; !ok && r.Revision <= f.head {
			return apart(r.Name, "is there, and its journal does not tell of it")
		}
	}
	return nil
}

func byName(ctx context.Context, s store.Reader, records []store.Record) (map[string]store.Record, error) {
	names := make([]string, len(records))
	for i, r := range records {
		names[i] = r.Name
	}
	found, err := s.GetMany(ctx, names)
	all := map[string]store.Record{}
	for _, r := range found {
		all[r.Name] = r
	}
	return all, err
}

// apart says that the registry itself is damaged.
func apart(name, how string) error {
	return fmt.Errorf("the registry is damaged: %s %s; keep the backups that you have, and see heirpressd doctor", name, how)
}
