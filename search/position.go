package search

import (
	"encoding/binary"
	"errors"
	"math"
)

// Position is where a hit stands in an order. It is all that is needed to go on
// after it, so a page can be asked for at any time, of any replica.
type Position struct {
	ranking ranking
	// key is the greater the earlier: the score, or kilometres below zero.
	key float64
	// near is kilometres below zero, where it tells apart what has one key.
	near   float64
	posted uint64
	name   string
}

// positionVersion is the first byte of a position written down.
const positionVersion = 2

// Bytes writes the position down; ParsePosition reads it.
func (p Position) Bytes() []byte {
	b := []byte{positionVersion, byte(p.ranking)}
	b = binary.BigEndian.AppendUint64(b, math.Float64bits(p.key))
	b = binary.BigEndian.AppendUint64(b, math.Float64bits(p.near))
	b = binary.BigEndian.AppendUint64(b, p.posted)
	return append(b, p.name...)
}

// ParsePosition reads what Bytes wrote.
func ParsePosition(b []byte) (*Position, error) {
	if len(b) < 26 || b[0] != positionVersion {
		return nil, errors.New("search: not a position")
	}
	p := &Position{
		ranking: ranking(b[1]),
		key:     math.Float64frombits(binary.BigEndian.Uint64(b[2:])),
		near:    math.Float64frombits(binary.BigEndian.Uint64(b[10:])),
		posted:  binary.BigEndian.Uint64(b[18:]),
		name:    string(b[26:]),
	}
	if p.ranking < byScore || p.ranking > byNewest || math.IsNaN(p.key) || math.IsNaN(p.near) {
		return nil, errors.New("search: not a position")
	}
	return p, nil
}
