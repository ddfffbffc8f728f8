package walk

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"

	"github.com/gofrs/flock"

	"heirpress/client/sheet"
)

// none stands for the digest of a sheet that is not there.
const none = "none"

// UnfitError says that a walk cannot go on from a file that was named: something
// else has to be named, or what stands in it has to be put right.
type UnfitError struct{ message string }

// Error says what would be right.
func (e *UnfitError) Error() string { return e.message }

func unfit(format string, args ...any) error { return &UnfitError{fmt.Sprintf(format, args...)} }

func journalPath(path string) string { return path + ".walk" }

// begin opens a walk: anew, from a sheet that is there, or where it was broken
// off. Its journal is nil if all that was left to do was to remove it. unlock is
// to be called at its end.
func begin(o Options) (w *walk, unlock func(), err error) {
	if format, err := sheet.FormatOf(o.Path); err != nil || format != sheet.YAML {
		return nil, nil, unfit("%s: a walk writes a .yaml sheet: name one", o.Path)
	}
	lock := flock.New(o.Path + ".lock")
	held, err := lock.TryLock()
	if err != nil {
		return nil, nil, err
	}
	if !held {
		return nil, nil, fmt.Errorf("%s: another walk is writing it", o.Path)
	}
	unlock = func() {
		os.Remove(lock.Path())
		lock.Unlock()
	}
	if w, err = open(o); err != nil {
		unlock()
		return nil, nil, err
	}
	return w, unlock, nil
}

func open(o Options) (*walk, error) {
	body, err := os.ReadFile(o.Path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	w := &walk{o: o, base: none, state: &state{byPlace: map[at]string{}, before: map[at]string{}, check: o.CheckTown, opts: o.sheetOptions()}}
	if err == nil {
		w.base = digest(body)
		if err := w.goOnFrom(body); err != nil {
			return nil, err
		}
	}
	if o.flush == nil {
		o.flush = (*os.File).Sync
	}
	journal, entries, err := openJournal(journalPath(o.Path), o.flush)
	if err != nil {
		return nil, err
	}
	w.journal = journal
	if err := w.resume(entries); err != nil {
		return nil, errors.Join(err, journal.close())
	}
	return w, nil
}

// goOnFrom takes over what a sheet says.
func (w *walk) goOnFrom(body []byte) error {
	s, err := sheet.Read(w.o.Path, bytes.NewReader(body), w.opts...)
	if err != nil {
		return unfit("%v", err)
	}
	if len(s.Bad) > 0 {
		return unfit("%s: put right what is wrong in it first: %v", w.o.Path, s.Bad[0].Problems[0])
	}
	w.shop = s.Shop
	for _, r := range s.Lots {
		w.state.lots = append(w.state.lots, r.Lot)
	}
	return nil
}

// resume goes on with a journal, or begins one.
func (w *walk) resume(entries []entry) error {
	if len(entries) == 0 {
		return w.journal.add(entry{Base: w.base})
	}
	if slices.ContainsFunc(entries, func(e entry) bool { return e.Sheet == w.base }) {
		err := w.journal.remove()
		w.journal = nil
		return err
	}
	if base := entries[0].Base; w.base != base && w.base != none {
		return unfit("%s is no longer as it was when the walk began. The answers are safe in %s: move the sheet away, and walk on",
			w.o.Path, w.journal.path)
	}
	w.replay(entries)
	return nil
}

func digest(body []byte) string {
	sum := sha256.Sum256(body)
	return hex.EncodeToString(sum[:])
}
