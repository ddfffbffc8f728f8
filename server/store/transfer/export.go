package transfer

import (
	"bufio"
	"context"
	"encoding/json"
	"io"
	"maps"
	"slices"

	"heirpress/server/store"
)

// Export writes a registry as it is at one moment, though others go on writing to
// it. It returns the last change number it has written.
func Export(ctx context.Context, from store.Movable, to io.Writer) (head uint64, err error) {
	head, cursors, err := moment(ctx, from)
	if err != nil {
		return 0, err
	}
	buffer := bufio.NewWriter(to)
	e := exporter{from: from, head: head, out: json.NewEncoder(buffer)}
	if err := e.all(ctx, cursors); err != nil {
		return 0, err
	}
	return head, buffer.Flush()
}

// moment is how far the journal goes and how far its followers have come, at one
// moment: what a follower has written is in the journal if, and only if, its
// cursor says so. So they are read in a transaction, which changes nothing.
func moment(ctx context.Context, from store.Movable) (head uint64, cursors map[string]uint64, err error) {
	followers, err := from.Cursors(ctx)
	if err != nil {
		return 0, nil, err
	}
	err = from.Write(ctx, func(tx store.Tx) (err error) {
		cursors = map[string]uint64{}
		if head, err = tx.Head(ctx); err != nil {
			return err
		}
		for follower := range followers {
			at, err := tx.Cursor(ctx, follower)
			if err != nil {
				return err
			}
			if at > 0 { // 0 is where a follower is that never moved
				cursors[follower] = at
			}
		}
		return nil
	})
	return head, cursors, err
}

type exporter struct {
	from store.Movable
	head uint64
	out  *json.Encoder
}

func (e exporter) all(ctx context.Context, cursors map[string]uint64) error {
	if err := e.out.Encode(line{Registry: format, Change: e.head}); err != nil {
		return err
	}
	if err := e.journal(ctx); err != nil {
		return err
	}
	for _, follower := range slices.Sorted(maps.Keys(cursors)) {
		if err := e.out.Encode(line{Cursor: follower, Change: cursors[follower]}); err != nil {
			return err
		}
	}
	if err := e.answers(ctx); err != nil {
		return err
	}
	return e.out.Encode(line{End: true})
}

func (e exporter) journal(ctx context.Context) error {
	for at := uint64(0); at < e.head; {
		changes, err := e.from.Changes(ctx, at, int(min(e.head-at, page)))
		if err != nil {
			return err
		}
		for _, c := range changes {
			at = c.Number
			if err := e.out.Encode(changeLine(c)); err != nil {
				return err
			}
		}
	}
	return nil
}

// page is how many entries or answers are read or written at a time.
const page = 500

// answers leaves out those of writes that came after the head was read.
func (e exporter) answers(ctx context.Context) error {
	for after := ""; ; {
		answers, err := e.from.Answers(ctx, after, page)
		if err != nil || len(answers) == 0 {
			return err
		}
		for _, a := range answers {
			after = a.ID
			if a.Change > e.head {
				continue
			}
			if err := e.out.Encode(line{Answer: a.ID, Fingerprint: a.Fingerprint, Body: a.Body, Change: a.Change}); err != nil {
				return err
			}
		}
	}
}
