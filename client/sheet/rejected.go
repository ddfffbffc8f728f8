package sheet

import (
	"encoding/csv"
	"io"
	"slices"
	"strings"
)

// WriteRejected writes the bad rows as a table: the sheet's own headings and
// what was written under them, and a last column that says what is wrong. When
// the rows are put right it can be read again as it is; the last column is then
// passed over. It is CSV for a YAML sheet too, with a column for every key that
// the bad lots have.
//
// A bad row without a tag that says the same as a row before it gets the tag
// that it had when it was read, or it would be taken for that row when it comes
// back alone.
func WriteRejected(w io.Writer, s *Sheet) error {
	if s.mark {
		if _, err := io.WriteString(w, "\ufeff"); err != nil {
			return err
		}
	}
	head, tagAt, problemAt := s.rejectedHeader()
	rows := [][]string{head}
	for _, b := range s.Bad {
		row := make([]string, len(head))
		copy(row, b.Cells)
		if b.tag != "" {
			row[tagAt] = b.tag
		}
		row[problemAt] = b.report()
		rows = append(rows, row)
	}
	return writeTable(w, rune(s.comma), rows)
}

// writeTable writes rows as CSV, safe for spreadsheets.
func writeTable(w io.Writer, comma rune, rows [][]string) error {
	out := csv.NewWriter(w)
	out.Comma = comma
	for _, row := range rows {
		for i := range row {
			row[i] = guard(row[i])
		}
	}
	return out.WriteAll(rows)
}

// rejectedHeader is the sheet's heading, as wide as its widest bad row, with a
// column for tags if a row needs one, and one for the problem, and where these
// two are. A file that was rejected before has its problem column already.
func (s *Sheet) rejectedHeader() (head []string, tagAt, problemAt int) {
	head = slices.Clone(s.header)
	for _, b := range s.Bad {
		for len(head) < len(b.Cells) {
			head = append(head, "")
		}
	}
	column := func(name string, needed bool) int {
		at := slices.IndexFunc(head, func(h string) bool { return fold(h) == name || aliases[fold(h)] == name })
		if at < 0 && needed {
			at = len(head)
			head = append(head, name)
		}
		return at
	}
	tagAt = column("tag", slices.ContainsFunc(s.Bad, func(b BadRow) bool { return b.tag != "" }))
	problemAt = column(problemColumn, true)
	return head, tagAt, problemAt
}

// report is everything wrong with a row, in one cell.
func (b BadRow) report() string {
	var all []string
	for _, p := range b.Problems {
		p.Number = 0
		all = append(all, p.Error())
	}
	return strings.Join(all, "; ")
}
