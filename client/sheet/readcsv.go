package sheet

import (
	"errors"
	"fmt"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// readCSV reads a table: the first row that is not blank is the heading.
func (s *Sheet) readCSV(body string, o options) error {
	fields := columnFields(o.currency)
	s.comma = delimiter(body, keysOf(fields))
	rows := splitter{rest: body, comma: s.comma}
	head := rows.nextFull()
	if head == nil {
		return errors.New("is empty")
	}
	if head.broken != "" {
		return Problems{{Number: head.row, Value: strings.Join(head.cells, string(s.comma)), Message: head.broken}}
	}
	for i, cell := range head.cells {
		head.cells[i] = unguard(line(cell))
	}
	hs, err := headings(head.cells, keysOf(fields))
	if err != nil {
		return err
	}
	s.header = head.cells
	s.Unknown = unknown(hs)
	var recs []*record
	for rec := rows.nextFull(); rec != nil; rec = rows.nextFull() {
		recs = append(recs, rec)
	}
	if len(recs) > MaxRows {
		return fmt.Errorf("has %d rows: at most %d will do, so split it into several files", len(recs), MaxRows)
	}
	drafts := make([]*draft, len(recs))
	for i, rec := range recs {
		drafts[i] = s.rowDraft(rec, hs, fields)
	}
	s.settle(drafts)
	return nil
}

// nextFull returns the next record that is not blank, or nil.
func (s *splitter) nextFull() *record {
	for {
		rec, ok := s.next()
		if !ok {
			return nil
		}
		if !rec.blank() {
			return &rec
		}
	}
}

// delimiter is the one of comma, semicolon and tab that finds the most columns
// in the heading, or the most cells if it finds no column.
func delimiter(body string, columns []string) byte {
	best, most := byte(','), 0
	for _, comma := range []byte{',', ';', '\t'} {
		rows := splitter{rest: body, comma: comma}
		head := rows.nextFull()
		if head == nil {
			return comma
		}
		found := len(head.cells)
		if hs, err := headings(head.cells, columns); err == nil {
			for _, h := range hs {
				if h.column != "" {
					found += 1000
				}
			}
		}
		if found > most {
			best, most = comma, found
		}
	}
	return best
}

// unknown lists the headings that are no column's.
func unknown(hs []heading) []string {
	var all []string
	for _, h := range hs {
		if h.column == "" && h.text != "" && fold(h.text) != problemColumn {
			all = append(all, h.text)
		}
	}
	return all
}

// rowDraft reads one row of a table.
func (s *Sheet) rowDraft(rec *record, hs []heading, fields []field[*pb.Lot]) *draft {
	d := &draft{number: rec.row, lot: &pb.Lot{}, cells: rec.cells}
	if rec.broken != "" {
		d.problems = Problems{{Number: rec.row, Message: rec.broken}}
		return d
	}
	d.values = map[string]value{}
	for i, cell := range d.cells {
		d.cells[i] = unguard(strings.TrimSpace(cell))
		switch cell = d.cells[i]; {
		case cell == "":
		case i >= len(hs) || hs[i].text == "":
			d.problems = append(d.problems, Problem{Value: cell, Message: s.noHeading(i, cell)})
		case hs[i].column != "":
			d.values[hs[i].column] = cellValue(hs[i].withUnit(cell))
		}
	}
	d.problems = append(d.problems, apply(d.lot, d.values, fields)...)
	d.finish()
	for i := range d.problems {
		d.problems[i].Number = rec.row
	}
	return d
}

func (s *Sheet) noHeading(i int, cell string) string {
	comma := map[byte]string{',': "a comma", ';': "a semicolon", '\t': "a tab"}[s.comma]
	return fmt.Sprintf("cell %d, %q, stands under no heading: give its column one, or put quotes around the cell before it if that has %s in it", i+1, cell, comma)
}
