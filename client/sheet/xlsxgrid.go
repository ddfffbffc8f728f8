package sheet

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"
)

// grid is one sheet of a workbook on its way to being a table.
type grid struct {
	book *excelize.File
	name string
	part *part
	// records are the rows that are not blank.
	records []*record

	day1904  bool
	days     map[int]bool // styles that show a number as a day
	formulas int
	filled   []string // merged cells that several rows share
	size     int
}

// load reads the rows.
func (g *grid) load(parts map[string]*part) error {
	props, err := g.book.GetWorkbookProps()
	if err != nil {
		return fmt.Errorf("cannot be read as a workbook: %w", err)
	}
	g.day1904, g.days = props.Date1904 != nil && *props.Date1904, map[int]bool{}
	if err := g.read(); err != nil {
		return err
	}
	if g.part, err = g.find(parts); err != nil {
		return err
	}
	for _, rec := range g.records {
		g.judge(rec)
	}
	if err := g.fillMerged(); err != nil {
		return err
	}
	for _, rec := range g.records {
		for i, cell := range rec.cells {
			rec.cells[i] = newlines(cell)
		}
	}
	return nil
}

// read reads every row twice: as it is shown, and as it is kept.
func (g *grid) read() error {
	shown, err := g.book.Rows(g.name)
	if err != nil {
		return fmt.Errorf("its sheet %q cannot be read: %w", g.name, err)
	}
	defer shown.Close()
	kept, err := g.book.Rows(g.name)
	if err != nil {
		return fmt.Errorf("its sheet %q cannot be read: %w", g.name, err)
	}
	defer kept.Close()
	for row := 1; shown.Next() && kept.Next(); row++ {
		cells, err := shown.Columns()
		raw, rawErr := kept.Columns(excelize.Options{RawCellValue: true})
		if err := errors.Join(err, rawErr); err != nil {
			return fmt.Errorf("its row %d cannot be read: %w", row, err)
		}
		if err := g.add(row, cells, raw); err != nil {
			return err
		}
	}
	return shown.Error()
}

// add takes a row in, unless it is blank.
func (g *grid) add(row int, cells, raw []string) error {
	if len(cells) > maxColumns {
		return fmt.Errorf("its row %d reaches to column %d: at most %d will do", row, len(cells), maxColumns)
	}
	rec := &record{row: row, cells: cells, figures: map[int]string{}, faults: map[int]fault{}}
	for i, c := range cells {
		g.size += len(c)
		if i < len(raw) {
			rec.figures[i] = raw[i]
		}
	}
	if g.size > MaxBytes {
		return fmt.Errorf("holds more than %d MiB of text: split it into several files", MaxBytes>>20)
	}
	if len(cells) > 0 {
		g.records = append(g.records, rec)
	}
	if n := len(g.records); n > MaxRows+maxBanners+1 {
		return fmt.Errorf("has more than %d rows: split it into several files", MaxRows)
	}
	return nil
}

// find is the part that the sheet is kept in: the one that the library loads
// when it is asked for something of that sheet.
func (g *grid) find(parts map[string]*part) (*part, error) {
	if _, err := g.book.GetSheetProps(g.name); err != nil {
		return nil, fmt.Errorf("its sheet %q cannot be read: %w", g.name, err)
	}
	var found *part
	g.book.Sheet.Range(func(path, _ any) bool {
		found = parts[strings.ToLower(strings.TrimPrefix(path.(string), "/"))]
		return found == nil
	})
	if found == nil {
		return nil, fmt.Errorf("its sheet %q is damaged", g.name)
	}
	return found, nil
}

// judge sorts out what the cells of a row are, and drops it if it is blank.
func (g *grid) judge(rec *record) {
	for i := range rec.cells {
		m, raw := g.part.marks[spot{rec.row, i + 1}], rec.figures[i]
		delete(rec.figures, i)
		if m.formula {
			g.formulas++
		}
		if f, text, ok := g.faultOf(m, rec.cells[i], raw); ok {
			rec.faults[i], rec.cells[i] = f, text
		} else if figure, ok := figureOf(m, rec.cells[i], raw); ok {
			rec.figures[i] = figure
		}
	}
}

// fillMerged gives every row what it shares with those above it. A row that has
// nothing but what it shares is no row of its own.
func (g *grid) fillMerged() error {
	g.records = slices.DeleteFunc(g.records, func(r *record) bool { return r.blank() && len(r.faults) == 0 })
	byRow, last := map[int]*record{}, 0
	for _, r := range g.records {
		byRow[r.row], last = r, r.row
	}
	budget := maxMergedRows
	for _, m := range g.part.merged {
		if budget -= max(0, min(m.to.row, last)-m.from.row); budget < 0 {
			return fmt.Errorf("has merged cells over more than %d rows: undo the merging", maxMergedRows)
		}
		g.fill(m, byRow, last)
	}
	return nil
}

func (g *grid) fill(m span, byRow map[int]*record, last int) {
	top, i := byRow[m.from.row], m.from.column-1
	if top == nil || i >= len(top.cells) || top.cells[i] == "" {
		return
	}
	sharing := []*record{top}
	for row := m.from.row + 1; row <= min(m.to.row, last); row++ {
		if r := byRow[row]; r != nil {
			sharing = append(sharing, r)
		}
	}
	if len(sharing) == 1 {
		return
	}
	ref, _ := excelize.CoordinatesToCellName(m.from.column, m.from.row)
	where := fmt.Sprintf("%s, merged over rows %d to %d", ref, m.from.row, m.to.row)
	g.filled = append(g.filled, where)
	for _, r := range sharing {
		for len(r.cells) <= i {
			r.cells = append(r.cells, "")
		}
		r.cells[i] = top.cells[i]
		if _, faulty := r.faults[i]; !faulty {
			r.faults[i] = fault{shared: true, message: "is in one cell, " + where + ": write every row's own figure"}
		}
	}
}

// notes say what was taken for granted.
func (g *grid) notes() []string {
	var all []string
	if g.formulas > 0 {
		all = append(all, "cells with formulas count for what the workbook last worked out")
	}
	if len(g.filled) > 0 {
		all = append(all, "a merged cell counts for each of its rows that has something of its own: "+strings.Join(g.filled, "; "))
	}
	if rows := g.hiddenRows(); len(rows) > 0 {
		all = append(all, "hidden rows were read as well: "+strings.Join(rows, ", "))
	}
	if columns := g.hiddenColumns(); len(columns) > 0 {
		all = append(all, "hidden columns were read as well: "+strings.Join(columns, ", "))
	}
	return all
}

func (g *grid) hiddenRows() []string {
	var rows []string
	for _, r := range g.records {
		if g.part.hiddenRows[r.row] {
			rows = append(rows, fmt.Sprint(r.row))
		}
	}
	return rows
}

// hiddenColumns are those with something in them.
func (g *grid) hiddenColumns() []string {
	wide := 0
	for _, r := range g.records {
		wide = max(wide, len(r.cells))
	}
	var columns []string
	for _, h := range g.part.hiddenColumns {
		for c := max(1, h[0]); c <= min(h[1], wide); c++ {
			name, _ := excelize.ColumnNumberToName(c)
			columns = addOnce(columns, name)
		}
	}
	return columns
}
