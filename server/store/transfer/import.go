package transfer

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"heirpress/server/store"
)

// LineError says what is wrong with a file that is imported. What came before the
// line may have been taken over: with the file put right, Import goes on from there.
type LineError struct {
	// Line is the number of the line, from 1.
	Line int
	// Err says what is wrong.
	Err error
}

// Error names the line.
func (e *LineError) Error() string { return fmt.Sprintf("line %d: %v", e.Line, e.Err) }

// Unwrap is the error itself.
func (e *LineError) Unwrap() error { return e.Err }

// Taken tells how an import went.
type Taken struct {
	// Had is how many changes the store had before, and New how many it took over.
	Had, New uint64
}

// Import takes over what Export has written, into a store that is empty or that
// holds the beginning of it: an import that was cut off is taken up by doing it
// again, and one that is done changes nothing when it is done again. A store that
// holds anything else is refused, and left as it is.
func Import(ctx context.Context, from io.Reader, to store.Movable) (Taken, error) {
	had, err := to.Head(ctx)
	if err != nil {
		return Taken{}, err
	}
	i := importer{to: to, had: had, in: json.NewDecoder(from)}
	i.in.DisallowUnknownFields()
	err = i.all(ctx)
	taken := Taken{Had: had, New: i.written}
	if err != nil {
		return taken, &LineError{Line: i.line, Err: err}
	}
	return taken, nil
}

type importer struct {
	to      store.Movable
	in      *json.Decoder
	line    int
	had     uint64 // the store's head before
	written uint64
	ahead   []store.Change // to be written
	bytes   int            // of their bodies
	there   []store.Change // read from the store, to compare with
	answers []store.Answer // to be remembered
}

func (i *importer) all(ctx context.Context) error {
	first, err := i.next()
	if err != nil {
		return err
	}
	if first.Registry != format {
		return fmt.Errorf("it does not say \"registry\":%d: it is no export that this program can read", format)
	}
	if first.Change < i.had {
		return fmt.Errorf("the file has %d changes, and the registry here has %d: %w", first.Change, i.had, errOther)
	}
	for {
		l, err := i.next()
		if err == nil {
			err = i.take(ctx, l)
		}
		if err != nil || l.End {
			return errors.Join(err, i.flush(ctx))
		}
	}
}

// errOther says that a store holds something else than the file.
var errOther = errors.New("import into one that is empty, or that an import of this file has begun")

func (i *importer) next() (l line, err error) {
	i.line++
	err = i.in.Decode(&l)
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return l, errors.New("the file ends here, and is not whole: export it again")
	case err != nil:
		return l, fmt.Errorf("it cannot be read: %w", err)
	}
	return l, nil
}

func (i *importer) take(ctx context.Context, l line) error {
	switch {
	case l.End:
		return nil
	case l.Op != "":
		return i.change(ctx, l)
	case l.Cursor != "":
		return i.cursor(ctx, l)
	case l.Answer != "":
		i.answers = append(i.answers, store.Answer{ID: l.Answer, Fingerprint: l.Fingerprint, Body: l.Body, Change: l.Change})
		if len(i.answers) < page {
			return nil
		}
		return i.flush(ctx)
	}
	return errors.New("it is neither a change, nor a cursor, nor an answer")
}

func (i *importer) change(ctx context.Context, l line) error {
	c, err := l.toChange()
	if err != nil {
		return err
	}
	if c.Number <= i.had {
		return i.compare(ctx, c)
	}
	i.ahead = append(i.ahead, c)
	if i.bytes += len(c.Record.Body); len(i.ahead) < page && i.bytes < store.MaxBody {
		return nil
	}
	return i.flush(ctx)
}

// compare checks that the store has an entry as the file does.
func (i *importer) compare(ctx context.Context, c store.Change) (err error) {
	if len(i.there) == 0 {
		if i.there, err = i.to.Changes(ctx, max(c.Number, 1)-1, page); err != nil {
			return err
		}
	}
	if len(i.there) == 0 || !i.there[0].Same(c) {
		return fmt.Errorf("the registry here has another change %d: %w", c.Number, errOther)
	}
	i.there = i.there[1:]
	return nil
}

// flush writes what has been gathered.
func (i *importer) flush(ctx context.Context) error {
	if len(i.ahead) > 0 {
		if err := i.to.Replay(ctx, i.ahead); err != nil {
			return err
		}
		i.written += uint64(len(i.ahead))
		i.ahead, i.bytes = nil, 0
	}
	if len(i.answers) == 0 {
		return nil
	}
	err := i.to.Write(ctx, func(tx store.Tx) error { return remember(ctx, tx, i.answers) })
	i.answers = nil
	return err
}

// remember keeps the answers that are not there yet.
func remember(ctx context.Context, tx store.Tx, answers []store.Answer) error {
	for _, a := range answers {
		_, err := tx.Recall(ctx, a.ID)
		if errors.Is(err, store.ErrNotFound) {
			err = tx.Remember(ctx, a)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// cursor moves a follower on, but never back: it may have followed here already.
func (i *importer) cursor(ctx context.Context, l line) error {
	if err := i.flush(ctx); err != nil {
		return err
	}
	return i.to.Write(ctx, func(tx store.Tx) error {
		at, err := tx.Cursor(ctx, l.Cursor)
		if err != nil || at >= l.Change {
			return err
		}
		return tx.MoveCursor(ctx, l.Cursor, l.Change)
	})
}
