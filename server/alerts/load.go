package alerts

import (
	"context"
	"errors"
	"io/fs"
	"os"

	"heirpress/server/store"
)

// KeepBook has the matcher keep its wants in a file too, beside the store, so
// that it is ready soon after a start. Call it before Run. Whoever else has a
// matcher over the same store keeps a book of their own.
func (m *Matcher) KeepBook(path string) { m.bookPath = path }

// load takes up the wants as they stood at the cursor, whatever has happened to
// them since: the journal will tell.
func (m *Matcher) load(ctx context.Context) (err error) {
	m.closeBook()
	if m.cursor, err = m.store.Cursor(ctx, Cursor); err != nil {
		return err
	}
	m.seen, m.ahead = m.cursor, nothingAhead()
	if m.bookPath == "" {
		return m.loadStore(ctx)
	}
	err = m.loadBook(ctx)
	if !errors.Is(err, errBook) {
		return err
	}
	if !errors.Is(err, fs.ErrNotExist) {
		m.log.Warn("alerts: the wants are read from the store, and their book is written anew", "error", err)
	}
	m.closeBook()
	if err := m.loadStore(ctx); err != nil {
		return err
	}
	return m.beginBook(ctx)
}

func (m *Matcher) loadStore(ctx context.Context) error {
	all, err := wantsAt(ctx, m.store, m.cursor)
	if err == nil {
		m.wants.take(all)
	}
	return err
}

// loadBook takes up the wants from the book, and what it lacks from the journal.
// It returns errBook if the book cannot be gone by.
func (m *Matcher) loadBook(ctx context.Context) error {
	b, all, last, err := openBook(m.bookPath)
	if err != nil {
		return err
	}
	m.book = b
	if err := m.fits(ctx, last); err != nil {
		return err
	}
	m.wants.take(all)
	err = eachChange(ctx, m.store, last.change, func(c store.Change) error {
		if c.Number > m.cursor {
			return errEnough
		}
		if err := m.wants.follow(c); err != nil {
			return err
		}
		m.note(c)
		return nil
	})
	if errors.Is(err, errEnough) {
		return nil
	}
	return err
}

// errEnough ends a walk through the journal.
var errEnough = errors.New("enough")

// fits tells whether a book goes with this store: its last change is not beyond
// the cursor, and is what the journal has there. A store that was put back to an
// earlier day has another.
func (m *Matcher) fits(ctx context.Context, last entry) error {
	if last.change > m.cursor {
		return errBook
	}
	there, err := m.changeAt(ctx, last.change)
	if err == nil && there.time != last.time {
		return errBook
	}
	return err
}

// changeAt is an entry that says that the matcher came to a change.
func (m *Matcher) changeAt(ctx context.Context, number uint64) (entry, error) {
	there, err := m.store.Changes(ctx, number-1, 1)
	if err != nil || len(there) == 0 {
		return entry{}, err
	}
	return entryOf(there[0], nil), nil
}

func entryOf(c store.Change, list []byte) entry {
	return entry{change: c.Number, time: c.Time.UnixMicro(), list: list}
}

// beginBook writes down the wants that stand at the cursor. Before there is any
// change there is nothing that a book could go by.
func (m *Matcher) beginBook(ctx context.Context) error {
	if m.cursor == 0 {
		return nil
	}
	at, err := m.changeAt(ctx, m.cursor)
	if err != nil {
		return err
	}
	m.book, err = newBook(m.bookPath, m.wants, at)
	if err != nil {
		m.noBook(err)
	}
	return nil
}

// note writes a change of a list down, as the list stands now.
func (m *Matcher) note(c store.Change) {
	if m.book == nil {
		return
	}
	if err := m.book.put(entryOf(c, m.wants.written(c.Record.Created))); err != nil {
		m.noBook(err)
	}
}

// keepBook writes down what a batch of changes has done to lists, once it is
// done, and now and then how far the matcher came without any.
func (m *Matcher) keepBook(ctx context.Context, changes []store.Change) error {
	if m.bookPath == "" {
		return nil
	}
	if m.book == nil {
		return m.beginBook(ctx)
	}
	for _, c := range changes {
		if c.Record.Collection == store.WantedLists {
			m.note(c)
		}
	}
	last := changes[len(changes)-1]
	if m.book != nil && last.Number > m.book.at+markEvery {
		if err := m.book.put(entryOf(last, nil)); err != nil {
			m.noBook(err)
		}
	}
	if m.book != nil {
		if err := m.book.to.Flush(); err != nil {
			m.noBook(err)
		}
	}
	return nil
}

// noBook goes on without a book: the next start takes longer, and nothing is
// lost.
func (m *Matcher) noBook(err error) {
	m.log.Warn("alerts: the book of standing wants cannot be written; the next start will take longer", "error", err)
	m.closeBook()
	if err := os.Remove(m.bookPath); err != nil && !errors.Is(err, fs.ErrNotExist) {
		m.log.Warn("alerts: the book of standing wants cannot be removed", "error", err)
	}
	m.bookPath = ""
}

func (m *Matcher) closeBook() {
	if m.book == nil {
		return
	}
	if err := m.book.file.Close(); err != nil {
		m.log.Warn("alerts: the book of standing wants was not closed", "error", err)
	}
	m.book = nil
}
