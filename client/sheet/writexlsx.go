package sheet

import (
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

const (
	// inventorySheet is the sheet of a workbook that holds the table.
	inventorySheet = "Inventory"
	// helpSheet says how to fill it in. A reader has no need of it.
	helpSheet = "How to fill it in"
)

// writeWorkbook writes rows, the first of them the heading, as a workbook. What
// its cells hold is text, but for figures that are in one unit all down their
// column: these are numbers, which show the unit. help, if there is any, is a
// sheet of its own.
func writeWorkbook(w io.Writer, rows [][]string, help [][]string) error {
	book := excelize.NewFile()
	defer book.Close()
	if err := book.SetSheetName(book.GetSheetName(0), inventorySheet); err != nil {
		return err
	}
	if err := layOut(book, inventorySheet, rows[0]); err != nil {
		return err
	}
	for i, column := range rows[0] {
		if err := writeColumn(book, i+1, column, rows[1:]); err != nil {
			return err
		}
	}
	if len(help) > 0 {
		if err := offerChoices(book); err != nil {
			return err
		}
		if err := writeHelp(book, help); err != nil {
			return err
		}
	}
	return book.Write(w)
}

// columnWidths are in letters; other columns get plainWidth.
var columnWidths = map[string]float64{"title": 44, "description": 50, "condition": 28, "missing": 28, "kind": 24}

const plainWidth = 14

// layOut writes the heading, keeps it in sight and sets every column to text, so
// that no spreadsheet makes a day of what is typed in.
func layOut(book *excelize.File, name string, heading []string) error {
	text, err := book.NewStyle(&excelize.Style{NumFmt: 49, Alignment: &excelize.Alignment{Vertical: "top", WrapText: true}})
	if err != nil {
		return err
	}
	bold, err := book.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}, NumFmt: 49})
	if err != nil {
		return err
	}
	for i, h := range heading {
		column, err := excelize.ColumnNumberToName(i + 1)
		if err != nil {
			return err
		}
		width := columnWidths[h]
		if width == 0 {
			width = plainWidth
		}
		if err := book.SetColWidth(name, column, column, width); err != nil {
			return err
		}
		if err := book.SetColStyle(name, column, text); err != nil {
			return err
		}
		if err := book.SetCellStr(name, column+"1", guard(h)); err != nil {
			return err
		}
	}
	if err := book.SetRowStyle(name, 1, 1, bold); err != nil {
		return err
	}
	return book.SetPanes(name, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"})
}

// writeColumn writes the cells of a column, from row 2.
func writeColumn(book *excelize.File, at int, column string, rows [][]string) error {
	cells := make([]string, len(rows))
	for i, row := range rows {
		cells[i] = row[at-1]
	}
	var amounts map[int]amount
	if slices.Contains(figureColumns, column) {
		amounts = inOneUnit(cells)
	}
	styles := map[string]int{}
	for i, cell := range cells {
		name, err := excelize.CoordinatesToCellName(at, i+2)
		if err != nil {
			return err
		}
		a, isAmount := amounts[i]
		switch {
		case isAmount:
			err = writeAmount(book, name, a, styles)
		case cell != "":
			err = book.SetCellStr(inventorySheet, name, escaped(guard(cell)))
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// escaped writes the characters that XML has no place for as workbooks do,
// _x0001_, and what looks like that but is not, with _x005F_ for its first sign
// (ECMA-376 part 1, 22.9.2.19). The library undoes it and does not do it.
func escaped(s string) string {
	var b strings.Builder
	for i, r := range s {
		switch {
		case r < ' ' && r != '\t' && r != '\n' || r == 0xfffe || r == 0xffff:
			fmt.Fprintf(&b, "_x%04X_", r)
		case r == '_' && escapeRE.MatchString(s[i:]):
			b.WriteString("_x005F_")
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

var escapeRE = regexp.MustCompile(`^_x[0-9a-fA-F]{4}`)

// writeAmount writes a number; styles are those that there are, by format.
func writeAmount(book *excelize.File, name string, a amount, styles map[string]int) error {
	format := a.format()
	style, made := styles[format]
	if !made {
		var err error
		if style, err = book.NewStyle(&excelize.Style{CustomNumFmt: &format}); err != nil {
			return err
		}
		styles[format] = style
	}
	if err := book.SetCellFloat(inventorySheet, name, a.number, -1, 64); err != nil {
		return err
	}
	return book.SetCellStyle(inventorySheet, name, name, style)
}

// amount is a figure with no more than its unit, which stands before it or
// after it.
type amount struct {
	before, after string
	number        float64
	decimals      int
}

var amountRE = regexp.MustCompile(`^([A-Z]{3} )?(\d+)(?:\.(\d+))?( [a-z]+)?$`)

// amountOf reads "1350 lb", "USD 900.50" or "3". A figure of more digits than a
// workbook keeps is none.
func amountOf(cell string) (amount, bool) {
	m := amountRE.FindStringSubmatch(cell)
	if m == nil {
		return amount{}, false
	}
	fraction := strings.TrimRight(m[3], "0")
	n, err := strconv.ParseFloat(m[2]+"."+fraction+"0", 64)
	exact := strings.TrimSuffix(m[2]+"."+fraction, ".")
	return amount{m[1], m[4], n, len(m[3])}, err == nil && plain(n) == exact
}

// format is the number format that shows an amount as it was written.
func (a amount) format() string {
	digits := "0"
	if a.decimals > 0 {
		digits += "." + strings.Repeat("0", a.decimals)
	}
	return quotedUnit(a.before) + digits + quotedUnit(a.after)
}

func quotedUnit(unit string) string {
	if unit == "" {
		return ""
	}
	return strconv.Quote(unit)
}

// inOneUnit reads the amounts of a column, by their place, if they are all in
// one unit. If not, there are none, since a sum of them would be wrong.
func inOneUnit(cells []string) map[int]amount {
	amounts := map[int]amount{}
	var first *amount
	for i, cell := range cells {
		a, ok := amountOf(cell)
		if !ok {
			continue
		}
		if first == nil {
			first = &a
		}
		if a.before != first.before || a.after != first.after {
			return nil
		}
		amounts[i] = a
	}
	return amounts
}

func writeHelp(book *excelize.File, help [][]string) error {
	if _, err := book.NewSheet(helpSheet); err != nil {
		return err
	}
	if err := layOut(book, helpSheet, help[0]); err != nil {
		return err
	}
	for r, row := range help[1:] {
		for c, cell := range row {
			name, err := excelize.CoordinatesToCellName(c+1, r+2)
			if err != nil {
				return err
			}
			if err := book.SetCellStr(helpSheet, name, cell); err != nil {
				return fmt.Errorf("%s: %w", helpSheet, err)
			}
		}
	}
	return nil
}
