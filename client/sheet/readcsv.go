package sheet

import "strings"

// readCSV reads a table: the first row that is not blank is the heading.
func (s *Sheet) readCSV(body string, o options) error {
	s.comma = delimiter(body, keysOf(columnFields(o.currency)))
	rows := splitter{rest: body, comma: s.comma}
	var recs []*record
	for rec := rows.nextFull(); rec != nil; rec = rows.nextFull() {
		recs = append(recs, rec)
	}
	if len(recs) > 0 && recs[0].broken != "" {
		head := recs[0]
		return Problems{{Number: head.row, Value: strings.Join(head.cells, string(s.comma)), Message: head.broken}}
	}
	return s.readTable(recs, o)
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
