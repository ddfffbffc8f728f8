package search

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"

	"github.com/blevesearch/bleve/v2/index/scorch"
)

// changeKey is where a generation keeps the change number it has reached.
var changeKey = []byte("change")

// writeChange writes a change number with a checksum of its own.
func writeChange(change uint64) []byte {
	number := binary.BigEndian.AppendUint64(nil, change)
	return binary.BigEndian.AppendUint32(number, crc32.ChecksumIEEE(number))
}

// readChange reads the change number that a snapshot has reached. An index
// without lots and without a number is at change 0.
func readChange(snapshot *scorch.IndexSnapshot) (uint64, error) {
	written, ok := snapshot.Internal()[string(changeKey)]
	if !ok && len(snapshot.Segments()) == 0 {
		return 0, nil
	}
	if len(written) != 12 || crc32.ChecksumIEEE(written[:8]) != binary.BigEndian.Uint32(written[8:]) {
		return 0, fmt.Errorf("%w: it has lost its change number", ErrDamaged)
	}
	return binary.BigEndian.Uint64(written), nil
}
