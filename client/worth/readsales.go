package worth

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"google.golang.org/protobuf/proto"

	"heirpress/client/sheet"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// Columns are the columns of a file of sale records, in any order. date, title,
// kind and price are needed.
//
//	date       the day of the sale: 2026-03-14
//	title      what it was
//	kind       as in an inventory sheet: press, platen jobber, metal type …
//	class      the build, if the kind does not say it
//	size       as in an inventory sheet: 10x15, 24pt, 12 line
//	count      how many, where the lot was several of one thing
//	weight     of the whole lot: 1,540 lb
//	condition  as in an inventory sheet: working, needs care …
//	missing    what was missing, with commas; none
//	complete   how much of it was there, in percent, if nobody listed what was missing
//	town       where it was sold: Dayton, OH
//	price      what was paid, never what was asked: $900
//	currency   three letters, where the price does not say
//	sale       which sale or shop it belonged to; any word, the same for all of one
func Columns() []string {
	return []string{"date", "title", "kind", "class", "size", "count", "weight", "condition", "missing", "complete", "town", "price", "currency", "sale"}
}

// lotColumns are those that are read as in an inventory sheet, in this order.
var lotColumns = []string{"title", "kind", "class", "size", "count", "weight", "condition", "missing"}

// Problem is one thing that is wrong with a file of sale records.
type Problem struct {
	// Row is as a person counts, blank rows too; Column is its heading.
	Row    int
	Column string
	// Message says what is wrong and what would be right.
	Message string
}

// Error says where it is, and the message.
func (p Problem) Error() string {
	at := fmt.Sprintf("row %d", p.Row)
	if p.Column != "" {
		at += ", column " + p.Column
	}
	return at + ": " + p.Message
}

// ReadSales reads sale records from CSV, as large and in such encodings as an
// inventory sheet may be. Rows that are right are used; each thing that is wrong
// with the others is a Problem. Prices that name no currency are in the one given.
// The error is for a file that cannot be read at all.
func ReadSales(name string, r io.Reader, currency string) (sales []Sale, bad []Problem, err error) {
	name = filepath.Base(name)
	t, err := sheet.ReadCells(r, Columns())
	if err == nil {
		err = check(t.Heads)
	}
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", name, err)
	}
	for _, row := range t.Rows {
		s, wrong := readRow(t.Heads, row, currency)
		for i := range wrong {
			wrong[i].Row = row.Number
		}
		if bad = append(bad, wrong...); len(wrong) == 0 {
			s.Source = fmt.Sprintf("%s, row %d", name, row.Number)
			sales = append(sales, s)
		}
	}
	return sales, bad, nil
}

// check looks at the heading.
func check(heads []string) error {
	for i, h := range heads {
		if h == "" {
			return fmt.Errorf("column %d has no heading: give it one", i+1)
		}
		if !slices.Contains(Columns(), h) {
			return fmt.Errorf("%q is not a column here: the columns are %s", h, strings.Join(Columns(), ", "))
		}
		if slices.Contains(heads[:i], h) {
			return fmt.Errorf("column %s is there twice: keep one", h)
		}
	}
	for _, need := range []string{"date", "title", "kind", "price"} {
		if !slices.Contains(heads, need) {
			return fmt.Errorf("has no column %s: date, title, kind and price are needed", need)
		}
	}
	return nil
}

// readRow reads a row by its columns; what stands under none is in the column "".
func readRow(heads []string, row sheet.CellRow, currency string) (Sale, []Problem) {
	if row.Broken != "" {
		return Sale{}, []Problem{{Message: row.Broken}}
	}
	cells := map[string]string{}
	for i, c := range row.Cells {
		switch {
		case c == "":
		case i >= len(heads):
			cells[""] = c
		default:
			cells[heads[i]] = c
		}
	}
	return readSale(cells, currency)
}

func readSale(cells map[string]string, currency string) (Sale, []Problem) {
	r := &saleReader{cells: cells, lot: &pb.Lot{}}
	if extra, ok := cells[""]; ok {
		r.wrong("", "%q stands under no heading: put quotes around a cell that has the delimiter in it", extra)
	}
	for _, need := range []string{"date", "title", "kind", "price"} {
		if cells[need] == "" {
			r.wrong(need, "is empty, and is needed")
		}
	}
	r.readLot()
	s := Sale{Lot: r.lot, Event: strings.ToLower(cells["sale"])}
	read(r, "date", trade.ParseDate, &s.Date)
	read(r, "complete", percent, &s.Complete)
	read(r, "town", townOf, &r.lot.Town)
	if c := cells["currency"]; c != "" {
		currency = strings.ToUpper(c)
		if _, err := trade.ParseMoney("1", currency); err != nil {
			r.wrong("currency", "%v", err)
			return s, r.problems
		}
	}
	read(r, "price", func(text string) (*pb.Money, error) { return paid(text, currency, cells["currency"] != "") }, &r.lot.PricePaid)
	return s, r.problems
}

// saleReader reads one row.
type saleReader struct {
	cells    map[string]string
	lot      *pb.Lot
	problems []Problem
}

func (r *saleReader) wrong(column, format string, args ...any) {
	r.problems = append(r.problems, Problem{Column: column, Message: fmt.Sprintf(format, args...)})
}

// readLot reads what an inventory sheet has as well, the same way.
func (r *saleReader) readLot() {
	for _, column := range lotColumns {
		if r.cells[column] == "" {
			continue
		}
		lot, err := sheet.SetLot(r.lot, column, r.cells[column])
		if err != nil {
			r.wrong(column, "%v", err)
			continue
		}
		r.lot = lot
	}
}

func read[T any](r *saleReader, column string, parse func(string) (T, error), to *T) {
	if r.cells[column] == "" {
		return
	}
	v, err := parse(r.cells[column])
	if err != nil {
		r.wrong(column, "%v", err)
		return
	}
	*to = v
}

func percent(text string) (*float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(text, "%")), 64)
	if err != nil || !(v >= 0 && v <= 100) {
		return nil, fmt.Errorf("%q is no share: write it in percent, 0 to 100, as 80%%", text)
	}
	return proto.Float64(v / 100), nil
}

func townOf(text string) (*pb.Town, error) {
	t, err := place.Find(text)
	if err != nil {
		return nil, err
	}
	return t.Message(), nil
}

// paid is what was paid: more than nothing, and in the currency that the row
// names, if it names one.
func paid(text, currency string, named bool) (*pb.Money, error) {
	m, err := trade.ParseMoney(text, currency)
	switch {
	case err != nil:
		return nil, err
	case m.GetUnits() == 0 && m.GetNanos() == 0:
		return nil, errors.New("a gift says nothing of what a thing fetches: leave the row out")
	case named && m.GetCurrencyCode() != currency:
		return nil, fmt.Errorf("%q is in %s, and the column currency says %s: change one of them", text, m.GetCurrencyCode(), currency)
	}
	return m, nil
}
