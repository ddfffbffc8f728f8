package search

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"io"
	"os"
	"path/filepath"
)

// A generation's folder holds the library's files in "store", a "seal" while it
// is closed, and "damaged" once it was found so.
const (
	storeFolder   = "store"
	rootFile      = "root.bolt"
	sealFile      = "seal"
	damagedMarker = "damaged"
)

// seal writes down the checksum of the library's root file, which has none of
// its own. It is done on a clean close; breakSeal holds the file against it.
func seal(dir string) error {
	sum, size, err := checksum(filepath.Join(dir, storeFolder, rootFile), 0)
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, sealFile), fmt.Appendf(nil, "%08x %d\n", sum, size), 0o600)
}

// breakSeal returns ErrDamaged if the root file is not as it was sealed, and
// removes the seal. After a crash there is no seal, and nothing to hold against.
func breakSeal(dir string) error {
	path := filepath.Join(dir, sealFile)
	text, err := os.ReadFile(path)
	if os.IsNotExist(err) {
		return nil
	}
	if err != nil {
		return err
	}
	var wantSum uint32
	var wantSize int64
	if n, _ := fmt.Sscanf(string(text), "%x %d", &wantSum, &wantSize); n == 2 {
		sum, size, err := checksum(filepath.Join(dir, storeFolder, rootFile), 0)
		if err != nil || sum != wantSum || size != wantSize {
			return fmt.Errorf("%w: %s is not as it was closed", ErrDamaged, rootFile)
		}
	}
	return os.Remove(path)
}

// checkSegment returns ErrDamaged if a segment file does not have the checksum
// that its last four bytes give. A file that is gone was merged into another.
func checkSegment(path string) error {
	sum, _, err := checksum(path, crc32.Size)
	if os.IsNotExist(err) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("%w: %v", ErrDamaged, err)
	}
	want, err := lastBytes(path, crc32.Size)
	if err != nil || binary.BigEndian.Uint32(want) != sum {
		return fmt.Errorf("%w: %s has the wrong checksum", ErrDamaged, filepath.Base(path))
	}
	return nil
}

// checksum is the CRC-32 of a file but for so many bytes at its end, and the
// size of the whole.
func checksum(path string, leaveOut int64) (sum uint32, size int64, err error) {
	f, err := os.Open(path)
	if err != nil {
		return 0, 0, err
	}
	defer func() { _ = f.Close() }()
	info, err := f.Stat()
	if err != nil {
		return 0, 0, err
	}
	hash := crc32.NewIEEE()
	if _, err := io.Copy(hash, io.LimitReader(f, info.Size()-leaveOut)); err != nil {
		return 0, 0, err
	}
	return hash.Sum32(), info.Size(), nil
}

// lastBytes reads the last n bytes of a file.
func lastBytes(path string, n int64) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer func() { _ = f.Close() }()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	last := make([]byte, n)
	_, err = f.ReadAt(last, info.Size()-n)
	return last, err
}
