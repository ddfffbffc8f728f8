package gaz

import (
	"encoding/binary"
	"slices"
	"strings"
)

// table numbers rows of a few strings each, equal rows alike.
type table struct {
	width  int
	rows   []string // The strings of a row, joined by a byte that no name holds.
	number map[string]int
}

const joint = "\x00"

func newTable(width int) table {
	return table{width: width, number: map[string]int{}}
}

func (t *table) add(row ...string) {
	joined := strings.Join(row, joint)
	if _, ok := t.number[joined]; !ok {
		t.number[joined] = len(t.rows)
		t.rows = append(t.rows, joined)
	}
}

// sort renumbers the rows in their order.
func (t *table) sort() {
	slices.Sort(t.rows)
	for i, row := range t.rows {
		t.number[row] = i
	}
}

func (t *table) of(row ...string) int { return t.number[strings.Join(row, joint)] }

// pack writes the strings of all rows, to be found by number.
func (t *table) pack() []byte {
	var body, starts []byte
	count := t.width * len(t.rows)
	for _, row := range t.rows {
		for s := range strings.SplitSeq(row, joint) {
			starts = append3(starts, 2+3*count+len(body))
			body = appendString(body, s)
		}
	}
	out := binary.LittleEndian.AppendUint16(nil, uint16(count))
	return append(append(out, starts...), body...)
}
