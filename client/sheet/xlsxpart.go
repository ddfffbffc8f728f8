package sheet

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strconv"

	"github.com/xuri/excelize/v2"
)

// spot is a cell, by its row and column from 1.
type spot struct{ row, column int }

// mark is what there is to know of a cell besides its text.
type mark struct {
	// kind is as the file has it: "" and "n" for a number, "e" for an error, "d"
	// for a day, others for texts.
	kind    string
	style   int
	formula bool
	// valued is true if there is a value, even an empty one.
	valued bool
}

// span is a block of merged cells.
type span struct{ from, to spot }

// part is the file of one sheet within a workbook.
type part struct {
	marks      map[spot]mark
	merged     []span
	hiddenRows map[int]bool
	// hiddenColumns are from and to, from 1.
	hiddenColumns [][2]int

	at    spot
	cells int
}

// scan reads a part through. A part that is not XML to its end is left to the
// library to complain of.
func (p *part) scan(r io.Reader) error {
	for dec := xml.NewDecoder(r); ; {
		token, err := dec.RawToken()
		if err != nil {
			return nil
		}
		if e, ok := token.(xml.StartElement); ok {
			if err := p.element(e); err != nil {
				return err
			}
		}
	}
}

func (p *part) element(e xml.StartElement) error {
	switch e.Name.Local {
	case "col":
		if attr(e, "hidden") == "1" || attr(e, "hidden") == "true" {
			p.hiddenColumns = append(p.hiddenColumns, [2]int{number(e, "min"), number(e, "max")})
		}
	case "row":
		return p.row(e)
	case "c":
		return p.cell(e)
	case "f":
		p.note(func(m *mark) { m.formula = true })
	case "v", "is":
		p.note(func(m *mark) { m.valued = true })
	case "mergeCell":
		p.merge(attr(e, "ref"))
	}
	return nil
}

func (p *part) row(e xml.StartElement) error {
	before := p.at.row
	if p.at = (spot{row: before + 1}); attr(e, "r") != "" {
		p.at.row = number(e, "r")
	}
	if h := attr(e, "hidden"); h == "1" || h == "true" {
		p.hiddenRows[p.at.row] = true
	}
	return p.grow(max(1, p.at.row-before))
}

func (p *part) cell(e xml.StartElement) error {
	before := p.at.column
	p.at.column++
	if ref := attr(e, "r"); ref != "" {
		column, row, err := excelize.CellNameToCoordinates(ref)
		if err != nil {
			return fmt.Errorf("is damaged: %q is no cell", ref)
		}
		p.at = spot{row, column}
	}
	style, err := strconv.Atoi(attr(e, "s"))
	if kind := attr(e, "t"); kind != "" || err == nil {
		p.marks[p.at] = mark{kind: kind, style: style}
	}
	return p.grow(max(1, p.at.column-before))
}

// grow counts cells and rows, blank or not.
func (p *part) grow(n int) error {
	if p.cells += n; p.cells > maxCells {
		return fmt.Errorf("has a sheet that reaches over more than %d cells: copy the inventory alone into a new workbook", maxCells)
	}
	return nil
}

func (p *part) note(change func(*mark)) {
	m := p.marks[p.at]
	change(&m)
	p.marks[p.at] = m
}

func (p *part) merge(ref string) {
	if s, err := spanOf(ref); err == nil {
		p.merged = append(p.merged, s)
	}
}

// spanOf reads "B3:B7".
func spanOf(ref string) (s span, err error) {
	for i, c := range ref {
		if c != ':' {
			continue
		}
		if s.from.column, s.from.row, err = excelize.CellNameToCoordinates(ref[:i]); err != nil {
			return s, err
		}
		s.to.column, s.to.row, err = excelize.CellNameToCoordinates(ref[i+1:])
		return s, err
	}
	return s, errors.New("is one cell")
}

func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name && a.Name.Space == "" {
			return a.Value
		}
	}
	return ""
}

func number(e xml.StartElement, name string) int {
	n, _ := strconv.Atoi(attr(e, name))
	return n
}
