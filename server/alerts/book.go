package alerts

import (
	"bufio"
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"heirpress/search"
	"heirpress/search/standing"
)

// A book is a file in which every list that stands is written as the matcher
// holds it, its words and its coverings ready, so that a matcher with a million
// wants need not read and understand a million wants again when it starts. It is
// derived: without it, or with a damaged one, or one made by other rules, the
// wants are read from the store, and the book is written anew.
//
// It begins with a line that names the rules. Then follow entries, each behind its
// length and its checksum: a change's number and time, and the list it left. First
// come the lists that stood when the book was begun, under number 0, and the change
// they stood at; then one for each change of a list, in the order of the changes.
// The last of a list counts. An entry is written when the alerts of its change have been; what is
// missing at the end the journal tells.
type book struct {
	path string
	file *os.File
	to   *bufio.Writer
	at   uint64 // the change of the last entry
}

const (
	// markEvery is how far the matcher may come without a change of a list before
	// that is noted, so that the journal need not be read from so far back.
	markEvery = 20_000
	// mostEntry is more than any entry takes.
	mostEntry = 1 << 24
	// leastWaste is how many bytes of entries that no longer count are no reason to
	// write a book again.
	leastWaste = 1 << 20
	headSize   = 8
)

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// bookTitle names the rules that a book is made by.
func bookTitle() string {
	return fmt.Sprintf("heirpress book 2 of standing wants %d, rules %s\n", standing.Version, search.Signature())
}

// errBook says that a book cannot be gone by.
var errBook = errors.New("the book of standing wants does not fit")

// entry is one entry of a book: a change, and the list it left, as package
// standing writes it; no list in one that only says how far the matcher came.
type entry struct {
	change uint64
	time   int64 // microseconds since 1970
	list   []byte
}

func (e entry) append(to []byte) []byte {
	to = binary.AppendVarint(binary.AppendUvarint(to, e.change), e.time)
	return append(to, e.list...)
}

func readEntry(from []byte) (e entry, ok bool) {
	change, n := binary.Uvarint(from)
	if n <= 0 {
		return e, false
	}
	at, m := binary.Varint(from[n:])
	return entry{change, at, from[n+max(m, 0):]}, m > 0
}

// span is where a list's last entry lies.
type span struct{ from, size int64 }

// openBook reads a book, and returns the wants that stood at its last entry. It
// returns errBook if it cannot be gone by.
func openBook(path string) (*book, *wants, entry, error) {
	file, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return nil, nil, entry{}, errors.Join(errBook, err)
	}
	r := &bookReader{from: bufio.NewReaderSize(file, 1<<20), all: noWants(), spans: map[uint64]span{}}
	last, err := r.readAll()
	if err == nil {
		err = file.Truncate(r.end)
	}
	b := &book{path: path, file: file, at: last.change}
	if err == nil && r.end > 2*r.live()+leastWaste {
		err = b.condense(r, last)
	}
	if err == nil {
		_, err = b.file.Seek(0, io.SeekEnd)
	}
	if err != nil {
		return nil, nil, entry{}, errors.Join(err, b.file.Close())
	}
	b.to = bufio.NewWriter(b.file)
	return b, r.all, last, nil
}

// bookReader reads a book from its beginning.
type bookReader struct {
	from  *bufio.Reader
	all   *wants
	spans map[uint64]span // of the lists that stand
	end   int64           // of the last good entry
	body  []byte          // of the entry being read
}

func (r *bookReader) readAll() (last entry, err error) {
	title := make([]byte, len(bookTitle()))
	if _, err := io.ReadFull(r.from, title); err != nil || string(title) != bookTitle() {
		return last, errBook
	}
	for r.end = int64(len(title)); r.next(); r.end += r.size() {
		e, ok := readEntry(r.body)
		if !ok {
			return last, errBook
		}
		if err := r.take(e.list); err != nil {
			return last, errors.Join(errBook, err)
		}
		last = entry{change: e.change, time: e.time}
	}
	if last.change == 0 {
		return last, errBook
	}
	return last, nil
}

func (r *bookReader) size() int64 { return int64(headSize + len(r.body)) }

// next reads an entry. A torn or damaged one is taken for the end: the journal
// tells the rest.
func (r *bookReader) next() bool {
	var head [headSize]byte
	if _, err := io.ReadFull(r.from, head[:]); err != nil {
		return false
	}
	size, sum := binary.LittleEndian.Uint32(head[:]), binary.LittleEndian.Uint32(head[4:])
	if size == 0 || size > mostEntry {
		return false
	}
	r.body = slices.Grow(r.body[:0], int(size))[:size]
	_, err := io.ReadFull(r.from, r.body)
	return err == nil && crc32.Checksum(r.body, castagnoli) == sum
}

// take has a list stand that was written, or, as the entry says, stand no more.
func (r *bookReader) take(list []byte) error {
	if len(list) == 0 {
		return nil
	}
	if err := r.all.standing.Read(list); err != nil {
		return err
	}
	created, _ := binary.Uvarint(list)
	if r.all.standing.Stands(created) {
		r.spans[created] = span{r.end, r.size()}
	} else {
		delete(r.spans, created)
	}
	return nil
}

// live is how many bytes the entries take that count.
func (r *bookReader) live() (total int64) {
	for _, s := range r.spans {
		total += s.size
	}
	return total
}

// condense writes a book again with the entries that count.
func (b *book) condense(r *bookReader, last entry) error {
	spans := slices.SortedFunc(maps.Values(r.spans), func(x, y span) int { return cmp.Compare(x.from, y.from) })
	old := b.file
	err := b.begin(func() error {
		for _, s := range spans {
			if _, err := io.Copy(b.to, io.NewSectionReader(old, s.from, s.size)); err != nil {
				return err
			}
		}
		return b.put(last)
	})
	return errors.Join(err, old.Close())
}

// newBook begins a book with all that stands at a change. Only its last entry says
// which: a book that is cut off before it is not gone by.
func newBook(path string, all *wants, at entry) (*book, error) {
	b := &book{path: path}
	err := b.begin(func() error {
		for list := range all.standing.Lists() {
			if err := b.put(entry{list: all.written(list)}); err != nil {
				return err
			}
		}
		return b.put(at)
	})
	if err != nil {
		return nil, err
	}
	return b, nil
}

// begin writes a new book beside the old one, and puts it in its place.
func (b *book) begin(fill func() error) (err error) {
	if b.file, err = os.CreateTemp(filepath.Dir(b.path), filepath.Base(b.path)+".*"); err != nil {
		return err
	}
	b.to = bufio.NewWriterSize(b.file, 1<<16)
	_, err = b.to.WriteString(bookTitle())
	if err == nil {
		err = fill()
	}
	if err == nil {
		err = b.to.Flush()
	}
	if err == nil {
		err = b.file.Sync()
	}
	if err == nil {
		err = os.Rename(b.file.Name(), b.path)
	}
	if err != nil {
		return errors.Join(err, b.file.Close(), os.Remove(b.file.Name()))
	}
	return nil
}

// put writes an entry, as far as the buffer.
func (b *book) put(e entry) error {
	body := e.append(nil)
	head := binary.LittleEndian.AppendUint32(nil, uint32(len(body)))
	head = binary.LittleEndian.AppendUint32(head, crc32.Checksum(body, castagnoli))
	_, err := b.to.Write(append(head, body...))
	b.at = e.change
	return err
}
