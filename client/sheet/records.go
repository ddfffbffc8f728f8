package sheet

import (
	"slices"
	"strings"
)

// record is one row of a table.
type record struct {
	// row is its number as a spreadsheet shows it: blank rows count, and a
	// cell of several lines is still one row.
	row int
	// cells are without their quotes.
	cells []string
	// broken says what is wrong with its quotes. Its cells are then those of
	// its first line, quotes and all, and the next line is read as a row.
	broken string
	// figures are the cells, by their place, that a workbook keeps as numbers,
	// with the unit that it shows and all the digits that it may not.
	figures map[int]string
	// faults are what is wrong with cells of a workbook, by their place.
	faults map[int]fault
}

// fault is what a workbook has in place of what somebody wrote.
type fault struct {
	message string
	// day is true for a day, which running text may well hold; shared is true
	// for what several rows share, which only a figure cannot be.
	day, shared bool
}

// matters tells whether a fault is one in a column.
func (f fault) matters(column string) bool {
	switch {
	case f.day:
		return !slices.Contains(freeColumns, column)
	case f.shared:
		return slices.Contains(figureColumns, column)
	}
	return true
}

// blank tells whether there is nothing in the row.
func (r record) blank() bool {
	for _, c := range r.cells {
		if strings.TrimSpace(c) != "" {
			return false
		}
	}
	return true
}

// splitter takes a table apart into records. Unlike encoding/csv it counts
// rows as people do, takes an inch mark inside a cell for what it is, and loses
// one line, not the rest of the file, to a quote that never closes.
type splitter struct {
	rest  string
	comma byte
	row   int
}

// next returns the next record, blank or not, and false at the end.
func (s *splitter) next() (record, bool) {
	if s.rest == "" {
		return record{}, false
	}
	s.row++
	start := s.rest
	rec := record{row: s.row}
	for {
		cell, ok := s.cell()
		if !ok {
			s.rest = start
			return s.brokenLine(), true
		}
		rec.cells = append(rec.cells, cell)
		if s.pass('\n') || s.rest == "" {
			return rec, true
		}
		if !s.pass(s.comma) {
			s.rest = start
			return s.brokenLine(), true
		}
		if s.rest == "" {
			rec.cells = append(rec.cells, "")
			return rec, true
		}
	}
}

// pass takes c off, if it comes next.
func (s *splitter) pass(c byte) bool {
	if s.rest == "" || s.rest[0] != c {
		return false
	}
	s.rest = s.rest[1:]
	return true
}

// cell takes one cell off; ok is false if its quote never closes.
func (s *splitter) cell() (cell string, ok bool) {
	if inside, found := strings.CutPrefix(strings.TrimLeft(s.rest, " "), `"`); found {
		cell, s.rest, ok = unquote(inside)
		s.rest = strings.TrimLeft(s.rest, " ")
		return cell, ok
	}
	end := strings.IndexAny(s.rest, string(s.comma)+"\n")
	if end < 0 {
		end = len(s.rest)
	}
	cell, s.rest = s.rest[:end], s.rest[end:]
	return cell, true
}

// unquote reads up to the quote that closes a cell, and past it.
func unquote(s string) (cell, rest string, ok bool) {
	var b strings.Builder
	for {
		end := strings.IndexByte(s, '"')
		if end < 0 {
			return "", "", false
		}
		b.WriteString(s[:end])
		s = s[end+1:]
		if !strings.HasPrefix(s, `"`) {
			return b.String(), s, true
		}
		b.WriteByte('"')
		s = s[1:]
	}
}

// brokenLine takes one line off as it stands.
func (s *splitter) brokenLine() record {
	line, rest, _ := strings.Cut(s.rest, "\n")
	s.rest = rest
	return record{
		row:    s.row,
		cells:  strings.Split(line, string(s.comma)),
		broken: `a cell that begins with a quote must end with one: write "12"" stick" for 12" stick`,
	}
}
