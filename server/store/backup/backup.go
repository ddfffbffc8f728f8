// Package backup keeps a whole registry, of whichever engine, in one file that
// tells by itself whether it is whole.
//
// The file is JSON Lines under gzip: a line that says what it is, the lines of
// package transfer, and a line with the SHA-256 of all those before it:
//
//	{"backup":1,"made":"2027-02-28T09:30:00Z"}
//	{"registry":1,"change":3}
//	…
//	{"end":true}
//	{"sha256":"9f86d0…"}
//
// A backup is of one moment, though others go on writing. It is restored into
// either engine, and a registry that was restored exports the same bytes.
package backup

import (
	"bufio"
	"bytes"
	"compress/flate"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"time"

	"heirpress/server/store"
	"heirpress/server/store/transfer"
)

// format is the version of the file's form.
const format = 1

// Info is what a backup says of itself.
type Info struct {
	// Made is when it was made, in UTC.
	Made time.Time
	// Changes is the last change number in it.
	Changes uint64
	// Sum is the SHA-256 of its lines.
	Sum [sha256.Size]byte
}

// DamagedError says that a file is no backup that can be gone by. Nothing of it
// was used.
type DamagedError struct {
	// Reason says what is wrong with it, as "it is cut off".
	Reason string
}

// Error says what to do.
func (e *DamagedError) Error() string {
	return fmt.Sprintf("this is no whole backup: %s; use another (nothing was changed)", e.Reason)
}

// NewerError says that a newer program made a backup.
type NewerError struct {
	// Found is the version of its form.
	Found int
}

// Error says what to do.
func (e *NewerError) Error() string {
	return fmt.Sprintf("the backup has form %d, and this program knows only up to %d: a newer heirpressd made it; use that one (nothing was changed)", e.Found, format)
}

// header is the first line, and trailer the last.
type header struct {
	Backup int       `json:"backup"`
	Made   time.Time `json:"made"`
}

type trailer struct {
	Sum string `json:"sha256"`
}

// Write writes a backup of a registry as it is at one moment.
func Write(ctx context.Context, from store.Movable, to io.Writer, made time.Time) (Info, error) {
	packed := gzip.NewWriter(to)
	info, sum := Info{Made: made.UTC().Truncate(time.Second)}, sha256.New()
	var err error
	if info.Changes, err = lines(ctx, from, io.MultiWriter(packed, sum), info.Made); err != nil {
		return info, err
	}
	info.Sum = total(sum)
	if err := json.NewEncoder(packed).Encode(trailer{hex.EncodeToString(info.Sum[:])}); err != nil {
		return info, err
	}
	return info, packed.Close()
}

// lines writes all lines but the last.
func lines(ctx context.Context, from store.Movable, to io.Writer, made time.Time) (changes uint64, err error) {
	if err := json.NewEncoder(to).Encode(header{format, made}); err != nil {
		return 0, err
	}
	return transfer.Export(ctx, from, to)
}

func total(h hash.Hash) (sum [sha256.Size]byte) {
	h.Sum(sum[:0])
	return sum
}

// Check reads a backup from its beginning to its end and tells what it is, or,
// with a *DamagedError or *NewerError, why it cannot be used.
func Check(from io.Reader) (Info, error) {
	file := bufio.NewReader(from)
	packed, err := gzip.NewReader(file)
	if err != nil {
		return Info{}, broken(err)
	}
	packed.Multistream(false)
	info, err := check(bufio.NewReaderSize(packed, 1<<16))
	if err != nil {
		return info, err
	}
	if _, err := file.ReadByte(); !errors.Is(err, io.EOF) {
		return info, &DamagedError{"something follows its end"}
	}
	return info, nil
}

func check(from *bufio.Reader) (info Info, err error) {
	first, err := from.ReadBytes('\n')
	if err != nil {
		return info, broken(err)
	}
	if info.Made, err = readHeader(first); err != nil {
		return info, err
	}
	sum, last := sha256.New(), first
	for n := 1; ; n++ {
		line, err := from.ReadBytes('\n')
		if errors.Is(err, io.EOF) && len(line) == 0 {
			break
		}
		if err != nil {
			return info, broken(err)
		}
		if n == 1 {
			info.Changes = changesOf(line)
		}
		sum.Write(last)
		last = line
	}
	var end trailer
	if json.Unmarshal(last, &end) != nil || end.Sum == "" {
		return info, &DamagedError{"it is cut off"}
	}
	if info.Sum = total(sum); end.Sum != hex.EncodeToString(info.Sum[:]) {
		return info, &DamagedError{"its checksum does not fit what is in it"}
	}
	return info, nil
}

// readHeader reads the first line, and returns when the backup was made.
func readHeader(line []byte) (made time.Time, err error) {
	var h header
	if json.Unmarshal(line, &h) != nil || h.Backup < 1 {
		return made, &DamagedError{`it does not begin with "backup"`}
	}
	if h.Backup > format {
		return made, &NewerError{h.Backup}
	}
	return h.Made, nil
}

// changesOf is the last change number, as the second line tells it.
func changesOf(line []byte) uint64 {
	var l struct {
		Change uint64 `json:"change"`
	}
	_ = json.Unmarshal(line, &l) // the importer tells of a line that is wrong
	return l.Change
}

// broken is the error of a stream that cannot be unpacked.
func broken(err error) error {
	var corrupt flate.CorruptInputError
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return &DamagedError{"it is cut off"}
	case errors.Is(err, gzip.ErrHeader):
		return &DamagedError{"it is a file of another kind"}
	case errors.Is(err, gzip.ErrChecksum):
		return &DamagedError{"its checksum does not fit what is in it"}
	case errors.As(err, &corrupt):
		return &DamagedError{"it cannot be unpacked"}
	}
	return err
}

// Restore puts a backup into a store that is empty, or that an earlier Restore of
// the same backup has begun to fill. All of the file is checked before anything is
// written, and in the end the store is compared with it. Import's errors say why a store does not do.
func Restore(ctx context.Context, file io.ReadSeeker, to store.Movable) (Info, error) {
	info, err := Check(file)
	if err != nil {
		return info, err
	}
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return info, err
	}
	packed, err := gzip.NewReader(bufio.NewReader(file))
	if err != nil {
		return info, broken(err)
	}
	body := bufio.NewReaderSize(packed, 1<<16)
	if _, err := body.ReadBytes('\n'); err != nil {
		return info, broken(err)
	}
	if _, err := transfer.Import(ctx, body, to); err != nil {
		return info, err
	}
	return info, Compare(ctx, info, to)
}

// errDiffers says that a store does not hold what a backup does.
var errDiffers = errors.New("what was restored is not what the backup holds: use neither, and tell those who make heirpress")

// Compare tells whether a store holds exactly what a backup does, by the sum of
// what it exports.
func Compare(ctx context.Context, info Info, s store.Movable) error {
	sum := sha256.New()
	if _, err := lines(ctx, s, sum, info.Made); err != nil {
		return err
	}
	if got := total(sum); !bytes.Equal(got[:], info.Sum[:]) {
		return errDiffers
	}
	return nil
}
