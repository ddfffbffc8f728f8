package walk

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// entry is one line of a journal.
type entry struct {
	// Base opens a journal: the digest of the sheet that the walk goes on from,
	// "none" where there is no sheet.
	Base string `json:"base,omitempty"`
	// Lot and Key say what was answered; lot 0 is the shop.
	Lot int    `json:"lot"`
	Key string `json:"key,omitempty"`
	// Text is the answer. Empty: passed over.
	Text string `json:"text,omitempty"`
	// Back takes the answer before it back.
	Back bool `json:"back,omitempty"`
	// Sheet closes a journal: the digest of the sheet that is written next.
	Sheet string `json:"sheet,omitempty"`
}

// journal is a file of entries, open to be added to.
type journal struct {
	path  string
	file  *os.File
	flush func(*os.File) error
}

// openJournal opens the journal at a path, or makes one, and returns what it
// holds. A last line that was not written whole was never acknowledged: it is
// cut off.
func openJournal(path string, flush func(*os.File) error) (*journal, []entry, error) {
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, nil, err
	}
	j := &journal{path, file, flush}
	entries, err := j.load()
	if err != nil {
		return nil, nil, errors.Join(err, file.Close())
	}
	return j, entries, syncFolder(path)
}

func (j *journal) load() ([]entry, error) {
	body, err := io.ReadAll(j.file)
	if err != nil {
		return nil, err
	}
	whole := body[:bytes.LastIndexByte(body, '\n')+1]
	var entries []entry
	for i, line := range bytes.Split(bytes.TrimSuffix(whole, []byte("\n")), []byte("\n")) {
		if len(whole) == 0 {
			break
		}
		var e entry
		if err := json.Unmarshal(line, &e); err != nil {
			return nil, unfit("%s: line %d is damaged: %v. Move the file away to begin anew", j.path, i+1, err)
		}
		entries = append(entries, e)
	}
	if len(whole) < len(body) {
		if err := j.file.Truncate(int64(len(whole))); err != nil {
			return nil, err
		}
	}
	_, err = j.file.Seek(0, io.SeekEnd)
	return entries, err
}

// add writes an entry, and returns when it is on the disk.
func (j *journal) add(e entry) error {
	line, err := json.Marshal(e)
	if err != nil {
		return err
	}
	if _, err := j.file.Write(append(line, '\n')); err != nil {
		return fmt.Errorf("the answer cannot be saved: %w", err)
	}
	if err := j.flush(j.file); err != nil {
		return fmt.Errorf("the answer cannot be saved: %w", err)
	}
	return nil
}

func (j *journal) close() error { return j.file.Close() }

// remove ends a journal that is no longer needed.
func (j *journal) remove() error {
	return errors.Join(j.file.Close(), os.Remove(j.path), syncFolder(j.path))
}

// replaceFile writes a file whole, or leaves it as it was.
func replaceFile(path string, body []byte) error {
	next := path + ".next"
	file, err := os.Create(next)
	if err != nil {
		return err
	}
	_, err = file.Write(body)
	if err := errors.Join(err, file.Sync(), file.Close()); err != nil {
		return errors.Join(err, os.Remove(next))
	}
	if err := os.Rename(next, path); err != nil {
		return err
	}
	return syncFolder(path)
}

// syncFolder has the names in a file's folder on the disk. Where a system
// cannot do that for folders, it does it by itself.
func syncFolder(path string) error {
	folder, err := os.Open(filepath.Dir(path))
	if err != nil {
		return err
	}
	defer folder.Close()
	if err := folder.Sync(); err != nil && !errors.Is(err, errors.ErrUnsupported) && !errors.Is(err, fs.ErrInvalid) && !errors.Is(err, fs.ErrPermission) {
		return err
	}
	return nil
}
