package sheet

import (
	"archive/zip"
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"
	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
)

// workbook makes a workbook whose first sheet has these rows, and lets edit
// change it. A cell that begins with = is a formula that was not worked out.
func workbook(t testing.TB, rows [][]any, edit func(*excelize.File)) []byte {
	t.Helper()
	book := excelize.NewFile()
	for r, row := range rows {
		for c, cell := range row {
			name, err := excelize.CoordinatesToCellName(c+1, r+1)
			if err != nil {
				t.Fatal(err)
			}
			if text, ok := cell.(string); ok && strings.HasPrefix(text, "=") {
				err = book.SetCellFormula("Sheet1", name, text[1:])
			} else {
				err = book.SetCellValue("Sheet1", name, cell)
			}
			if err != nil {
				t.Fatal(err)
			}
		}
	}
	if edit != nil {
		edit(book)
	}
	var b bytes.Buffer
	if err := book.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func readBytes(t testing.TB, body []byte, opts ...Option) *Sheet {
	t.Helper()
	s, err := Read("x.xlsx", bytes.NewReader(body), opts...)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// format shows cells in a number format.
func format(t testing.TB, book *excelize.File, code string, cells ...string) {
	t.Helper()
	style, err := book.NewStyle(&excelize.Style{CustomNumFmt: &code})
	must(t, err)
	for _, c := range cells {
		must(t, book.SetCellStyle("Sheet1", c, c, style))
	}
}

func TestXLSXRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lots := make([]*pb.Lot, rapid.IntRange(0, 4).Draw(t, "lots"))
		for i := range lots {
			lots[i] = cellLot(t)
			lots[i].Tag = line(string(rune('A'+i)) + one(t, "tag"))
		}
		var b bytes.Buffer
		if err := Write(&b, XLSX, nil, lots); err != nil {
			t.Fatal(err)
		}
		s, err := Read("x.xlsx", &b)
		if err != nil {
			t.Fatal(err)
		}
		wantEqual(t, XLSX, s, lots, "")
		if len(s.Notes) > 0 {
			t.Fatalf("notes: %q", s.Notes)
		}
	})
}

func TestXLSXControlCharacters(t *testing.T) {
	for _, title := range []string{"a\x01b", "_x0041_", "_x0041_x0042_", "__x005F_x005f_", "\x00_x0041\uffff_", "_x004_"} {
		var b bytes.Buffer
		must(t, Write(&b, XLSX, nil, []*pb.Lot{{Tag: "1", Title: title}}))
		if got := readBytes(t, b.Bytes()).Lots[0].Lot.GetTitle(); got != title {
			t.Errorf("%q came back as %q", title, got)
		}
	}
}

func TestXLSXNumbers(t *testing.T) {
	lots := []*pb.Lot{
		{Tag: "1", Title: "a", Count: proto.Int32(12), Weight: &pb.Weight{MassKg: proto.Float64(600)}, Size: &pb.Size{WidthMm: proto.Float64(254), DepthMm: proto.Float64(254)}},
		{Tag: "2", Title: "b", Price: &pb.Money{CurrencyCode: "USD", Units: 1250, Nanos: 500_000_000}, Size: &pb.Size{DepthMm: proto.Float64(255)}},
	}
	var b bytes.Buffer
	must(t, Write(&b, XLSX, nil, lots))
	book, err := excelize.OpenReader(bytes.NewReader(b.Bytes()))
	must(t, err)
	cases := []struct {
		about, cell, shown string
		number             bool
	}{
		{"a count", "I2", "12", true},
		{"a weight, the only unit in its column", "J2", "600 kg", true},
		{"a width", "K2", "10 in", true},
		{"a depth beside one in another unit", "L2", "10 in", false},
		{"a price", "P3", "USD 1250.50", true},
		{"a tag", "A2", "1", false},
	}
	for _, c := range cases {
		kind, err := book.GetCellType(inventorySheet, c.cell)
		must(t, err)
		shown, err := book.GetCellValue(inventorySheet, c.cell)
		must(t, err)
		if number := kind == excelize.CellTypeUnset || kind == excelize.CellTypeNumber; number != c.number || shown != c.shown {
			t.Errorf("%s, %s: shown as %q, a number %v", c.about, c.cell, shown, number)
		}
	}
}

// What people's workbooks hold besides plain texts.
func TestXLSXCells(t *testing.T) {
	heading := []any{"tag", "title", "weight", "count", "price", "size"}
	cases := []struct {
		about string
		row   []any
		edit  func(*excelize.File)
		want  map[string]string // by key, as in YAML
	}{
		{"numbers", []any{7, "Composing sticks", 1350.5, 3, 900, 12}, nil, map[string]string{"tag": "7", "weight": "1350.5 lb", "count": "3", "price": "USD 900", "size": "12"}},
		{"a sum of tenths", []any{"1", "Press", 0.1 + 0.2}, nil, map[string]string{"weight": "0.3 lb"}},
		{"units in the formats", []any{"1", "Press", 600.4, 3, 900.5}, func(b *excelize.File) {
			format(t, b, `0" kg"`, "C2")
			format(t, b, `[$£-809]#,##0`, "E2")
		}, map[string]string{"weight": "600.4 kg", "price": "GBP 900.50"}},
		{"a price in the format of accounts", []any{"1", "Press", nil, nil, 1350}, func(b *excelize.File) {
			format(t, b, `_("$"* #,##0.00_);_("$"* (#,##0.00)`, "E2")
		}, map[string]string{"price": "USD 1350"}},
		{"a tag with leading noughts", []any{7, "Press"}, func(b *excelize.File) { format(t, b, "000", "A2") }, map[string]string{"tag": "007"}},
		{"more than a unit in the format", []any{"1", "Press", 1350}, func(b *excelize.File) { format(t, b, `"weighed "0" lb"`, "C2") }, map[string]string{"weight": "weighed 1350 lb"}},
		{"a formula that was worked out", []any{"1", "=A9", 5}, func(b *excelize.File) {
			must(t, b.SetCellFormula("Sheet1", "B2", ""))
			must(t, b.SetCellValue("Sheet1", "B2", "Press"))
		}, map[string]string{"title": "Press"}},
		{"a day in a running text", []any{"1", time.Date(2027, 1, 31, 0, 0, 0, 0, time.UTC)}, nil, map[string]string{"title": "2027-01-31"}},
		{"yes as a title", []any{"1", true}, nil, map[string]string{"title": "TRUE"}},
		{"lines in a cell", []any{"1", "Press,\r\nold"}, nil, map[string]string{"title": "Press, old"}},
		{"a text in several inks", []any{"1"}, func(b *excelize.File) {
			must(t, b.SetCellRichText("Sheet1", "B2", []excelize.RichTextRun{{Text: "Old "}, {Text: "press", Font: &excelize.Font{Bold: true}}}))
		}, map[string]string{"title": "Old press"}},
		{"a weight under a heading with its unit", []any{"1", "Press", 600}, func(b *excelize.File) { must(t, b.SetCellStr("Sheet1", "C1", "weight (kg)")) }, map[string]string{"weight": "600 kg"}},
	}
	for _, c := range cases {
		t.Run(c.about, func(t *testing.T) {
			s := readBytes(t, workbook(t, [][]any{heading, c.row}, c.edit))
			if len(s.Lots) != 1 {
				t.Fatalf("%d lots; bad: %v", len(s.Lots), s.Bad)
			}
			for _, f := range columnFields("USD") {
				if want, ok := c.want[f.key]; ok && f.write(s.Lots[0].Lot).Value != want {
					t.Errorf("%s is %q, want %q", f.key, f.write(s.Lots[0].Lot).Value, want)
				}
			}
		})
	}
}

// Every cell that does not hold what somebody wrote is named.
func TestXLSXBadCells(t *testing.T) {
	day := time.Date(2027, 3, 4, 0, 0, 0, 0, time.UTC)
	cases := []struct {
		about string
		row   []any
		edit  func(*excelize.File)
		want  string
	}{
		{"a size that became a day", []any{"1", "Press", nil, nil, nil, day}, nil, "row 2, column size: is a day, 2027-03-04, in the workbook"},
		{"a tag that became a day", []any{day, "Press"}, nil, "row 2, column tag: is a day, 2027-03-04"},
		{"a formula not worked out", []any{"1", "Press", "=500+100"}, nil, "row 2, column weight: holds a formula that has not been worked out"},
		{"a title not worked out", []any{"1", "=A1"}, nil, "row 2, column title: holds a formula that has not been worked out"},
		{"an error", []any{"1", "Press", nil, nil, "=1/0"}, func(b *excelize.File) { raw(t, b, `<f>1/0</f>`, `<f>1/0</f><v>#DIV/0!</v>`, ` t="e"`) },
			"row 2, column price: holds the error #DIV/0! of a formula"},
		{"a price that is words", []any{"1", "Press", nil, nil, "dear"}, nil, `row 2, column price: "dear" is not a price`},
		{"a negative number", []any{"1", "Press", -5}, nil, "row 2, column weight: "},
		{"half of a thing", []any{"1", "Press", nil, 2.5}, nil, `row 2, column count: "2.5" is not a count`},
		{"a cell under no heading", []any{"1", "Press", nil, nil, nil, nil, "x"}, nil, `row 2: cell 7, "x", stands under no heading`},
	}
	for _, c := range cases {
		t.Run(c.about, func(t *testing.T) {
			s := readBytes(t, workbook(t, [][]any{{"tag", "title", "weight", "count", "price", "size"}, c.row}, c.edit))
			if len(s.Bad) != 1 || len(s.Bad[0].Problems) != 1 || !strings.HasPrefix(s.Bad[0].Problems[0].Error(), c.want) {
				t.Errorf("got %v", s.Bad)
			}
		})
	}
}

// raw changes the XML of the first sheet: old to new, with an attribute more in
// the cell it stands in.
func raw(t testing.TB, book *excelize.File, old, new, attribute string) {
	t.Helper()
	var b bytes.Buffer
	must(t, book.Write(&b))
	const path = "xl/worksheets/sheet1.xml"
	body, _ := book.Pkg.Load(path)
	text := string(body.([]byte))
	at := strings.Index(text, old)
	if at < 0 {
		t.Fatalf("there is no %s in %s", old, text)
	}
	open := strings.LastIndex(text[:at], "<c ")
	book.Sheet.Delete(path)
	book.Pkg.Store(path, []byte(text[:open]+"<c"+attribute+text[open+2:at]+new+text[at+len(old):]))
}

func TestXLSXMergedAndHidden(t *testing.T) {
	rows := [][]any{
		{"The Tolliver basement"},
		{"tag", "kind", "title", "price"},
		{"1", "wood type", "8 line gothic", 100},
		{"2", nil, "10 line antique", nil},
		{"3", nil, "12 line tuscan", 50},
		{},
		{"4", "tools", "Sticks", 20},
	}
	s := readBytes(t, workbook(t, rows, func(b *excelize.File) {
		for _, m := range [][2]string{{"A1", "D1"}, {"B3", "B5"}, {"D3", "D4"}, {"C7", "C8"}} {
			must(t, b.MergeCell("Sheet1", m[0], m[1]))
		}
		must(t, b.SetRowVisible("Sheet1", 5, false))
		must(t, b.SetColVisible("Sheet1", "A", false))
		_, err := b.NewSheet("Notes")
		must(t, err)
	}))
	var tags []string
	for _, r := range s.Lots {
		tags = append(tags, fmt.Sprintf("%d %s %s", r.Number, r.Lot.GetTag(), r.Lot.GetKind()))
	}
	if got := strings.Join(tags, "; "); got != "5 3 KIND_WOOD_TYPE; 7 4 KIND_TOOLS" {
		t.Errorf("lots: %s", got)
	}
	var bad []string
	for _, b := range s.Bad {
		bad = append(bad, b.Problems[0].Error())
	}
	if got, want := strings.Join(bad, "\n"), "row 3, column price: is in one cell, D3, merged over rows 3 to 4: write every row's own figure\n"+
		"row 4, column price: is in one cell, D3, merged over rows 3 to 4: write every row's own figure"; got != want {
		t.Errorf("bad: %s", got)
	}
	want := `only its sheet "Sheet1" was read; there is also "Notes", for --sheet-name
row 1 stands above the heading and was passed over: The Tolliver basement
a merged cell counts for each of its rows that has something of its own: B3, merged over rows 3 to 5; D3, merged over rows 3 to 4
hidden rows were read as well: 5
hidden columns were read as well: A`
	if got := strings.Join(s.Notes, "\n"); got != want {
		t.Errorf("notes:\n%s", got)
	}
	if got := rejected(t, s); !strings.HasPrefix(got, "\ufefftag,kind,title,price,problem\n1,wood type,8 line gothic,100,") {
		t.Errorf("rejected: %s", got)
	}
}

func TestXLSXSheets(t *testing.T) {
	body := workbook(t, [][]any{{"title"}, {"Press"}}, func(b *excelize.File) {
		_, err := b.NewSheet("Second floor")
		must(t, err)
		must(t, b.SetCellStr("Second floor", "A1", "title"))
		must(t, b.SetCellStr("Second floor", "A2", "Cutter"))
		b.SetActiveSheet(1)
		must(t, b.SetSheetVisible("Sheet1", false))
	})
	if got := readBytes(t, body).Lots[0].Lot.GetTitle(); got != "Cutter" {
		t.Errorf("the first that is not hidden has %s", got)
	}
	if got := readBytes(t, body, Table("sheet1")).Lots[0].Lot.GetTitle(); got != "Press" {
		t.Errorf("the one named has %s", got)
	}
	_, err := Read("x.xlsx", bytes.NewReader(body), Table("Attic"))
	if err == nil || err.Error() != `x.xlsx: has no sheet "Attic"; it has "Sheet1", "Second floor"` {
		t.Errorf("got %v", err)
	}
}

// sheetXML is a workbook with this as the XML of its first sheet.
func sheetXML(t testing.TB, body string) []byte {
	return workbook(t, nil, func(b *excelize.File) {
		b.Sheet.Delete("xl/worksheets/sheet1.xml")
		b.Pkg.Store("xl/worksheets/sheet1.xml", []byte(`<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>`+body))
	})
}

// zipOf is an archive of files.
func zipOf(t testing.TB, files int, size int64) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for i := range files {
		f, err := w.Create(fmt.Sprintf("xl/media/%d", i))
		must(t, err)
		_, err = f.Write(make([]byte, size))
		must(t, err)
	}
	must(t, w.Close())
	return b.Bytes()
}

// liar is an archive with a file that says it is smaller than it is.
func liar(t testing.TB) []byte {
	body := zipOf(t, 1, 60<<20)
	at := bytes.LastIndex(body, []byte("PK\x01\x02"))
	copy(body[at+24:], []byte{1, 0, 0, 0})
	return body
}

func TestXLSXRefuses(t *testing.T) {
	wide := make([]any, maxColumns+1)
	for i := range wide {
		wide[i] = "x"
	}
	long := `<row r="1"><c r="A1" t="inlineStr"><is><t>title</t></is></c></row>`
	cases := []struct {
		about string
		body  []byte
		want  string
	}{
		{"nothing", nil, "is empty"},
		{"a text", []byte("title\nPress\n"), "is no workbook, whatever its name says"},
		{"an old workbook", []byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"), "is a workbook of the old kind, or has a password"},
		{"an archive cut short", zipOf(t, 1, 10)[:60], "is damaged: "},
		{"an archive of something else", zipOf(t, 1, 10), "cannot be read as a workbook"},
		{"a bomb", zipOf(t, 1, maxUnzipped+1), "unpacks to more than 48 MiB and is not opened"},
		{"a bomb in pieces", zipOf(t, 7, 8<<20), "unpacks to more than 48 MiB and is not opened"},
		{"a bomb that lies", liar(t), "cannot be read as a workbook"},
		{"too many files", zipOf(t, maxParts+1, 1), "is made of 2001 files"},
		{"too large", make([]byte, MaxBytes+1), "is larger than 16 MiB"},
		{"no rows", workbook(t, nil, nil), "is empty"},
		{"no heading", workbook(t, [][]any{{"a", "b"}}, nil), `has no column title, which every sheet needs; its headings are "a", "b"`},
		{"too many columns", workbook(t, [][]any{{"title"}, wide}, nil), "its row 2 reaches to column 257: at most 256 will do"},
		{"blank cells without end", sheetXML(t, strings.Repeat(`<row><c r="XFD1"/></row>`, 200)), "has a sheet that reaches over more than 3000000 cells"},
		{"too many rows", sheetXML(t, long+strings.Repeat(`<row><c t="inlineStr"><is><t>x</t></is></c></row>`, MaxRows+maxBanners+1)+"</sheetData></worksheet>"), "has more than 20000 rows"},
		{"a cell that is none", sheetXML(t, `<row><c r="A0"><v>1</v></c></row></sheetData></worksheet>`), `is damaged: "A0" is no cell`},
		{"merged over everything", sheetXML(t, long+strings.Repeat(`<row><c t="inlineStr"><is><t>x</t></is></c></row>`, 1000)+"</sheetData><mergeCells>"+strings.Repeat(`<mergeCell ref="A1:B1048576"/>`, 1100)+"</mergeCells></worksheet>"), "has merged cells over more than 1000000 rows"},
		{"a wall of text", workbook(t, wall(), nil), "holds more than 16 MiB of text"},
	}
	for _, c := range cases {
		t.Run(c.about, func(t *testing.T) {
			_, err := Read("x.xlsx", bytes.NewReader(c.body))
			if err == nil || !strings.HasPrefix(err.Error(), "x.xlsx: "+c.want) {
				t.Errorf("got %v", err)
			}
		})
	}
}

// wall is more text than is taken, of one text that is kept only once.
func wall() [][]any {
	text := strings.Repeat("x", 32_000)
	rows := [][]any{{"title"}}
	for range MaxBytes/32_000 + 1 {
		rows = append(rows, []any{text})
	}
	return rows
}

func TestPlain(t *testing.T) {
	for n, want := range map[float64]string{0.1 + 0.2: "0.3", 1e20: "100000000000000000000", 41877: "41877", math.Pi: "3.14159265358979"} {
		if got := plain(n); got != want {
			t.Errorf("%v is %s, want %s", n, got, want)
		}
	}
}

// FuzzReadXLSX holds that no workbook trips the reader, and that what it reads
// is lots or bad rows which can be written again.
func FuzzReadXLSX(f *testing.F) {
	f.Add(workbook(f, [][]any{{"title", "price"}, {"Press", 5}, {"Stick", "dear"}}, nil))
	f.Add(workbook(f, [][]any{{"A shop"}, {"title", "kind"}, {"Press", "press"}, {"=1", nil}}, func(b *excelize.File) { must(f, b.MergeCell("Sheet1", "B3", "B4")) }))
	f.Add(sheetXML(f, `<row r="2"><c r="B2" t="e"><v>#REF!</v></c></row></sheetData></worksheet>`))
	f.Add(zipOf(f, 1, 10))
	f.Fuzz(func(t *testing.T, body []byte) {
		s, err := Read("x.xlsx", bytes.NewReader(body))
		if err != nil {
			return
		}
		checkLots(t, s)
		checkRejected(t, s)
	})
}

// FuzzWorkbookSheet is the same for the XML of a sheet, which a change to a
// packed file hardly ever reaches.
func FuzzWorkbookSheet(f *testing.F) {
	const head = `<row r="1"><c r="A1" t="str"><v>title</v></c><c r="B1" t="str"><v>price</v></c></row>`
	for _, rest := range []string{
		`<row r="2"><c r="A2" t="str"><v>Press</v></c><c r="B2"><v>5</v></c></row></sheetData><mergeCells><mergeCell ref="A2:A3"/></mergeCells></worksheet>`,
		`<row><c t="d"><v>2027-01-31</v></c></row><row hidden="1"><c t="b"><v>1</v></c><c><f>1+1</f></c></row></sheetData></worksheet>`,
		`<row r="5"><c r="C5" s="9" t="s"><v>99</v></c><c t="e"><v>#N/A</v></c></row></sheetData>`,
		`<row r="-1"><c r="A2" t="inlineStr"><is><r><t>x</t></r></is></c></row></sheetData><cols><col min="0" max="99999999" hidden="1"/></cols></worksheet>`,
	} {
		f.Add(head + rest)
	}
	f.Fuzz(func(t *testing.T, body string) {
		s, err := Read("x.xlsx", bytes.NewReader(sheetXML(t, body)))
		if err != nil {
			return
		}
		checkLots(t, s)
		checkRejected(t, s)
	})
}
