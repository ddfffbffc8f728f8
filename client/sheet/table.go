package sheet

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// readTable reads the rows of a table that are not blank: first its heading.
func (s *Sheet) readTable(recs []*record, o options) error {
	if len(recs) == 0 {
		return errors.New("is empty")
	}
	fields := columnFields(o.currency)
	head := recs[0]
	for i, cell := range head.cells {
		head.cells[i] = unguard(line(cell))
	}
	hs, err := headings(head.cells, keysOf(fields))
	if err != nil {
		return err
	}
	s.header, s.Unknown = head.cells, unknown(hs)
	if recs = recs[1:]; len(recs) > MaxRows {
		return fmt.Errorf("has %d rows: at most %d will do, so split it into several files", len(recs), MaxRows)
	}
	drafts := make([]*draft, len(recs))
	for i, rec := range recs {
		drafts[i] = s.rowDraft(rec, hs, fields)
	}
	s.settle(drafts)
	return nil
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
		if i < len(hs) {
			cell = rec.under(i, hs[i].column)
		}
		d.cells[i] = unguard(strings.TrimSpace(cell))
		switch cell = d.cells[i]; {
		case cell == "":
		case i >= len(hs) || hs[i].text == "":
			d.problems = append(d.problems, Problem{Value: cell, Message: s.noHeading(i, cell)})
		case hs[i].column != "":
			d.values[hs[i].column] = cellValue(hs[i].withUnit(cell))
		}
	}
	faults := rec.faultsUnder(hs, d.values)
	d.problems = append(d.problems, apply(d.lot, d.values, fields)...)
	for _, p := range faults {
		d.problems = append(d.problems, p)
		d.values[p.Column] = cellValue(p.Message) // what is wrong is not missing as well
	}
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

// figureColumns hold amounts. Of a number in a workbook they take the number
// itself, and any other column takes what the workbook shows.
var figureColumns = []string{"count", "weight", "width", "depth", "height", "price"}

// freeColumns are running text, in which a day may stand.
var freeColumns = []string{"title", "description", "condition"}

// under is what a row says in a column.
func (r *record) under(i int, column string) string {
	if figure, ok := r.figures[i]; ok && slices.Contains(figureColumns, column) {
		return figure
	}
	return r.cells[i]
}

// faultsUnder are the faults of the cells under known columns; what these cells
// say is taken out of the values.
func (r *record) faultsUnder(hs []heading, values map[string]value) Problems {
	var faults Problems
	for i, f := range r.faults {
		if i >= len(hs) || hs[i].column == "" || !f.matters(hs[i].column) {
			continue
		}
		column := hs[i].column
		faults = append(faults, Problem{Column: column, Value: values[column].text, Message: f.message})
		delete(values, column)
	}
	slices.SortFunc(faults, func(a, b Problem) int { return strings.Compare(a.Column, b.Column) })
	return faults
}
