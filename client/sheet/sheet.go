package sheet

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// MaxRows is the most rows or lots that a sheet may have.
const MaxRows = 20_000

// Sheet is an inventory sheet as it was read.
type Sheet struct {
	// Shop is what the sheet says of the shop; nil if it says nothing, as a
	// table never does.
	Shop *pb.Shop
	// Lots are the rows that are right, in the sheet's order.
	Lots []Row
	// Bad are the rows that are not, in the sheet's order.
	Bad []BadRow
	// Unknown are the headings of columns that were passed over.
	Unknown []string
	// Notes say what was taken for granted about the file, in plain words.
	Notes []string

	// header is what the cells of the bad rows stand under.
	header []string
	comma  byte
	mark   bool
}

// Row is a row that is right.
type Row struct {
	// Number is its row in a table, from 1 for the heading, or its line in YAML.
	Number int
	// Lot is what it says.
	Lot *pb.Lot
	// TagMade is true if the row had no tag and got one. The same row gets the
	// same tag whenever it is read, as long as its title, make, model, serial
	// and size stay the same.
	TagMade bool
	// Notes say what was taken for granted about the row, in plain words.
	Notes []string

	// cells are what was written, should the row be refused later on.
	cells []string
	// line is true where Number counts lines.
	line bool
}

// Where is where the row stands in its file: "row 7", or "line 7" of YAML.
func (r Row) Where() string { return where(r.Number, r.line) }

// BadRow is a row that is not right.
type BadRow struct {
	// Number is as in Row.
	Number int
	// Problems are everything that is wrong with it.
	Problems []Problem
	// Cells are what was written, under the sheet's headings.
	Cells []string

	// tag was made up for the row because rows like it come before it.
	tag string
}

// Option changes how a file is read.
type Option func(*options)

type options struct{ currency, table string }

// Currency is the currency, by its three letters, of prices that name none.
// Without this option it is USD.
func Currency(code string) Option { return func(o *options) { o.currency = code } }

// Table is the name of the sheet to read in a workbook that has several. Without
// this option it is the first that is not hidden. Other files take no notice.
func Table(name string) Option { return func(o *options) { o.table = name } }

func gather(opts []Option) (options, error) {
	o := options{currency: "USD"}
	for _, set := range opts {
		set(&o)
	}
	_, err := trade.ParseMoney("1", o.currency)
	return o, err
}

// Read reads an inventory sheet; the name's ending says whether it is CSV
// (.csv), a workbook (.xlsx) or YAML (.yaml, .yml). Rows that are wrong are in Bad and are no error.
// The error is for a file that cannot be read as a whole; where that is for what
// stands in it, it wraps Problems.
func Read(name string, r io.Reader, opts ...Option) (*Sheet, error) {
	s, err := read(name, r, opts)
	if err != nil {
		return nil, inFile(name, err)
	}
	return s, nil
}

func read(name string, r io.Reader, opts []Option) (*Sheet, error) {
	format, err := FormatOf(name)
	if err != nil {
		return nil, err
	}
	o, err := gather(opts)
	if err != nil {
		return nil, err
	}
	if format == XLSX {
		s := &Sheet{mark: true, comma: ','} // its rejected rows go to a spreadsheet again
		return s, s.readXLSX(r, o)
	}
	t, err := readText(r)
	if err != nil {
		return nil, err
	}
	s := &Sheet{mark: t.mark || t.guessed}
	if t.guessed {
		s.Notes = append(s.Notes, "the file is not Unicode: its letters were taken as Windows-1252")
	}
	if format == YAML {
		return s, s.readYAML(t.body, o)
	}
	return s, s.readCSV(t.body, o)
}

// Format is a file format.
type Format string

// The formats that are read and written.
const (
	CSV  Format = "csv"
	XLSX Format = "xlsx"
	YAML Format = "yaml"
)

// FormatOf tells the format by the ending of a file's name.
func FormatOf(name string) (Format, error) {
	switch ext := strings.ToLower(filepath.Ext(name)); ext {
	case ".csv":
		return CSV, nil
	case ".yaml", ".yml":
		return YAML, nil
	case ".xlsx":
		return XLSX, nil
	case ".xls", ".xlsm", ".xlsb", ".ods", ".numbers":
		return "", fmt.Errorf("workbooks of the kind %s cannot be read: save the sheet as .xlsx or .csv", ext)
	case "":
		return "", errors.New("has no ending that says what it is: name it .csv, .xlsx or .yaml")
	default:
		return "", fmt.Errorf("%s files cannot be read: a sheet is .csv, .xlsx or .yaml", ext)
	}
}

// inFile puts the name of the file before what is wrong with it.
func inFile(name string, err error) error {
	var ps Problems
	if errors.As(err, &ps) && len(ps) > 1 {
		return fmt.Errorf("%s has %d problems:\n%w", filepath.Base(name), len(ps), err)
	}
	return fmt.Errorf("%s: %w", filepath.Base(name), err)
}
