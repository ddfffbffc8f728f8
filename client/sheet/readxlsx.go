package sheet

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"
)

// What a workbook may hold. Beyond it, it is refused before it can fill the
// memory.
const (
	// maxUnzipped is the most that all its parts may come to: 48 MiB.
	maxUnzipped = 48 << 20
	// maxParts is the most files that it may be made of.
	maxParts = 2000
	// maxCells is the most that its rows may reach to, blank cells counted,
	// since the library makes room for those too.
	maxCells = 3_000_000
	// maxColumns is the most columns that may have something in them.
	maxColumns = 256
	// maxMergedRows is the most rows that its merged cells may come to.
	maxMergedRows = 1_000_000
	// maxBanners is the most lines that may stand above the heading.
	maxBanners = 10
)

// readXLSX reads one sheet of a workbook.
func (s *Sheet) readXLSX(r io.Reader, o options) (err error) {
	// A file that is damaged on purpose may trip the library up. That is the
	// file's fault and no reason to end without a word.
	defer func() {
		if tripped := recover(); tripped != nil {
			err = fmt.Errorf("is damaged and cannot be read as a workbook (%v): save it again in its program", tripped)
		}
	}()
	book, parts, err := openWorkbook(r)
	if err != nil {
		return err
	}
	defer book.Close()
	name, err := s.choose(book, o.table)
	if err != nil {
		return err
	}
	g := &grid{book: book, name: name}
	if err := g.load(parts); err != nil {
		return err
	}
	recs := s.passBanners(g.records, keysOf(columnFields(o.currency)))
	s.Notes = append(s.Notes, g.notes()...)
	return s.readTable(recs, o)
}

// choose finds the sheet to read, and says so where there are others.
func (s *Sheet) choose(book *excelize.File, asked string) (string, error) {
	names := book.GetSheetList()
	if asked != "" {
		at := slices.IndexFunc(names, func(n string) bool { return strings.EqualFold(line(n), line(asked)) })
		if at < 0 {
			return "", fmt.Errorf("has no sheet %q; it has %s", asked, quoted(names))
		}
		return names[at], nil
	}
	chosen := slices.IndexFunc(names, func(n string) bool {
		visible, err := book.GetSheetVisible(n)
		return err == nil && visible
	})
	if chosen < 0 {
		return "", errors.New("has no sheet that is not hidden")
	}
	others := slices.Delete(slices.Clone(names), chosen, chosen+1)
	others = slices.DeleteFunc(others, func(n string) bool { return n == helpSheet })
	if len(others) > 0 {
		s.Notes = append(s.Notes, fmt.Sprintf("only its sheet %q was read; there is also %s, for --sheet-name", names[chosen], quoted(others)))
	}
	return names[chosen], nil
}

// passBanners passes over the lines of a single cell that people put above the
// heading: the name of the shop, a day.
func (s *Sheet) passBanners(recs []*record, columns []string) []*record {
	for at, rec := range recs[:min(len(recs), maxBanners+1)] {
		if _, err := headings(rec.cells, columns); err == nil {
			for _, banner := range recs[:at] {
				s.Notes = append(s.Notes, fmt.Sprintf("row %d stands above the heading and was passed over: %s", banner.row, line(strings.Join(banner.cells, " "))))
			}
			return recs[at:]
		}
		if rec.full() > 1 {
			break
		}
	}
	return recs
}

// full is how many cells have something in them.
func (r *record) full() int {
	n := 0
	for _, c := range r.cells {
		if strings.TrimSpace(c) != "" {
			n++
		}
	}
	return n
}
