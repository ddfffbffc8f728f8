package sheet

import (
	"fmt"
	"io"
	"slices"
	"strings"
)

// Cells are a CSV table of other columns than an inventory's, taken apart as an
// inventory sheet is: the same encodings, delimiters, quotes and limits, and the
// same words for what is wrong.
type Cells struct {
	// Heads are the headings, folded to lower case.
	Heads []string
	// Rows are those below the heading that are not blank.
	Rows []CellRow
}

// CellRow is one row of such a table.
type CellRow struct {
	// Number is its row, from 1 for the first line of the file.
	Number int
	// Cells are what it says, without spaces around and without the apostrophe that
	// guards a cell in a spreadsheet.
	Cells []string
	// Broken says what is wrong with its quotes; empty if nothing is.
	Broken string
}

// ReadCells reads a table. columns are the headings that tell which of comma,
// semicolon and tab parts the cells; what other headings mean is the caller's to
// say. The error is for a file that cannot be read as a whole, and does not name it.
func ReadCells(r io.Reader, columns []string) (*Cells, error) {
	t, err := readText(r)
	if err != nil {
		return nil, err
	}
	rows := splitter{rest: t.body, comma: delimiter(t.body, columns)}
	head := rows.nextFull()
	if head.broken != "" {
		return nil, Problems{{Number: head.row, Message: head.broken}}
	}
	c := &Cells{Heads: head.bare()}
	for i, h := range c.Heads {
		c.Heads[i] = strings.ToLower(h)
	}
	for rec := rows.nextFull(); rec != nil; rec = rows.nextFull() {
		if len(c.Rows) == MaxRows {
			return nil, fmt.Errorf("has more than %d rows: split it into several files", MaxRows)
		}
		c.Rows = append(c.Rows, CellRow{Number: rec.row, Cells: rec.bare(), Broken: rec.broken})
	}
	return c, nil
}

// bare is what the cells of a record say.
func (r *record) bare() []string {
	cells := slices.Clone(r.cells)
	for i, c := range cells {
		cells[i] = unguard(strings.TrimSpace(c))
	}
	return cells
}
