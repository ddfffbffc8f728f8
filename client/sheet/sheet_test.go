package sheet

import (
	"errors"
	"slices"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

func readString(t *testing.T, name, body string, opts ...Option) *Sheet {
	t.Helper()
	s, err := Read(name, strings.NewReader(body), opts...)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// problemsOf are the problems of all bad rows, as they are printed.
func problemsOf(s *Sheet) []string {
	var all []string
	for _, b := range s.Bad {
		for _, p := range b.Problems {
			all = append(all, p.Error())
		}
	}
	return all
}

// wantProblems compares problems with beginnings of what they should say.
func wantProblems(t *testing.T, got []string, want ...string) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%d problems, want %d:\n%s", len(got), len(want), strings.Join(got, "\n"))
		return
	}
	for i := range got {
		if !strings.HasPrefix(got[i], want[i]) {
			t.Errorf("got  %s\nwant %s…", got[i], want[i])
		}
	}
}

func TestReadRefuses(t *testing.T) {
	cases := []struct{ about, name, body, want string }{
		{"an old workbook", "shop.xls", "x", "shop.xls: workbooks of the kind .xls cannot be read: save the sheet as .xlsx or .csv"},
		{"a workbook called CSV", "shop.csv", "PK\x03\x04", "shop.csv: is a workbook or an archive, whatever its name says: save it as CSV, or name it .xlsx if it is one"},
		{"another format", "shop.json", "{}", "shop.json: .json files cannot be read: a sheet is .csv, .xlsx or .yaml"},
		{"no ending", "dir/shop", "", "shop: has no ending that says what it is: name it .csv, .xlsx or .yaml"},
		{"nothing", "shop.csv", "\ufeff\r\n ", "shop.csv: is empty"},
		{"blank cells", "shop.csv", `"",""`, "shop.csv: is empty"},
		{"no title", "shop.csv", "tag;kind;make\n1;press;Corwen", `shop.csv: has no column title, which every sheet needs; its headings are "tag", "kind", "make"`},
		{"a column twice", "shop.csv", "title,weight,Weight\nx,1,2", "shop.csv: columns 2 and 3 are both weight: keep one of them, or rename one"},
		{"a broken heading", "shop.csv", "title,\"weight\nx,1", `shop.csv: row 1: a cell that begins with a quote`},
		{"broken YAML", "shop.yaml", "lots:\n  - title: Press: old\n", `shop.yaml: is not YAML: line 2: mapping values are not allowed in this context: put a text that holds ": " in quotes`},
		{"tabs", "shop.yaml", "lots:\n\t- title: x\n", "shop.yaml: is not YAML: line 2: found character that cannot start any token: indent with spaces, not tabs"},
		{"only comments", "shop.yaml", "# nothing\n", "shop.yaml: holds nothing but comments"},
		{"two documents", "shop.yaml", "lots: []\n---\nlots: []\n", "shop.yaml: line 2: a second document begins here"},
		{"a broken second document", "shop.yaml", "lots: []\n---\n{", "shop.yaml: is not YAML: line 3"},
		{"an alias", "shop.yaml", "lots:\n  - &a {title: x}\n  - *a\n", "shop.yaml: line 3: an alias cannot be used here"},
		{"a list at the top", "shop.yaml", "- title: x\n", "shop.yaml: line 1: write keys here, each with its value, as shop: …"},
		{"an unknown key at the top", "shop.yaml", "lost:\n  - title: x\n", "shop.yaml: line 1, key lost: there is no such key here: did you mean lots?"},
		{"lots that are no list", "shop.yaml", "lots: none\n", "shop.yaml: line 1, key lots: write the lots as a list"},
		{"a wrong shop", "shop.yaml", "shop:\n  tilte: A\n  clear_by: soon\n", "shop.yaml has 2 problems:\nline 2, key tilte: there is no such key here: did you mean title?\nline 3, key clear_by: \"soon\" is not a day"},
		{"a shop that is a text", "shop.yaml", "shop: Marrowby\n", "shop.yaml: line 1: write keys here, each with its value, as title: …"},
	}
	for _, c := range cases {
		t.Run(c.about, func(t *testing.T) {
			_, err := Read(c.name, strings.NewReader(c.body))
			if err == nil || !strings.HasPrefix(err.Error(), c.want) {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
		})
	}
}

func TestReadWrongCurrency(t *testing.T) {
	_, err := Read("x.csv", strings.NewReader("title\nx"), Currency("dollars"))
	if err == nil || !strings.Contains(err.Error(), "is not a currency") {
		t.Errorf("got %v", err)
	}
	_, err = ReadWanted("x.yaml", strings.NewReader("title: x"), Currency("dollars"))
	if err == nil || !strings.Contains(err.Error(), "is not a currency") {
		t.Errorf("got %v", err)
	}
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errors.New("the disk is gone") }

func TestReadFailingReader(t *testing.T) {
	_, err := Read("x.csv", failing{})
	if err == nil || err.Error() != "x.csv: cannot be read: the disk is gone" {
		t.Errorf("got %v", err)
	}
}

type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = 'x'
	}
	return len(p), nil
}

func TestReadLimits(t *testing.T) {
	for _, name := range []string{"x.csv", "x.yaml"} {
		_, err := Read(name, endless{})
		if err == nil || !strings.Contains(err.Error(), "is larger than 16 MiB: split it") {
			t.Errorf("%s: got %v", name, err)
		}
	}
	rows, items := strings.Repeat("\"a\"b\n", MaxRows), strings.Repeat("- {}\n", MaxRows)
	for name, body := range map[string]string{"x.csv": "title\n" + rows, "x.yaml": "lots:\n" + items} {
		if s := readString(t, name, body); len(s.Bad) != MaxRows {
			t.Errorf("%s: %d bad rows", name, len(s.Bad))
		}
		_, err := Read(name, strings.NewReader(body+body[strings.LastIndexByte(body[:len(body)-1], '\n')+1:]))
		if err == nil || !strings.Contains(err.Error(), "20001") {
			t.Errorf("%s: got %v", name, err)
		}
	}
}

func TestEncodings(t *testing.T) {
	cases := []struct{ about, body string }{
		{"UTF-8", "title\nKnöpfle"},
		{"UTF-8 with its mark", "\xef\xbb\xbftitle\nKnöpfle"},
		{"UTF-16, little end first", "\xff\xfet\x00i\x00t\x00l\x00e\x00\n\x00K\x00n\x00\xf6\x00p\x00f\x00l\x00e\x00"},
		{"UTF-16, big end first", "\xfe\xff\x00t\x00i\x00t\x00l\x00e\x00\n\x00K\x00n\x00\xf6\x00p\x00f\x00l\x00e"},
		{"Windows-1252", "title\r\nKn\xf6pfle\r\n"},
		{"old line ends", "title\rKnöpfle\r"},
	}
	for _, c := range cases {
		t.Run(c.about, func(t *testing.T) {
			s := readString(t, "x.csv", c.body)
			if len(s.Lots) != 1 || s.Lots[0].Lot.GetTitle() != "Knöpfle" {
				t.Errorf("lots %v", s.Lots)
			}
			if guessed := len(s.Notes) == 1; guessed != (c.about == "Windows-1252") {
				t.Errorf("notes %v", s.Notes)
			}
		})
	}
}

func TestDemoBadRows(t *testing.T) {
	s := demoSheet(t, "with-bad-rows.csv")
	wantProblems(t, problemsOf(s),
		`row 3, column weight: "heavy" is not a weight: write it as `,
		`row 4, column title: is missing: every lot needs a line`,
		`row 5, column tag: "A1" is already the tag of row 2: give each lot a tag of its own`,
		`row 6, column kind: "tabel" is not a kind: `,
		`row 6, column count: "some" is not a count: `,
		`row 6, column width: "wide" is not a length: `,
		`row 6, column price: "ask Ada" is not a price: `,
		`row 9: cell 12, "east", stands under no heading: `,
		`row 9, column width: "350 lb" is not a length: `)
	var good []int
	for _, r := range s.Lots {
		good = append(good, r.Number)
	}
	if !slices.Equal(good, []int{2, 7, 10}) {
		t.Errorf("good rows %v", good)
	}
	if !slices.Equal(s.Unknown, []string{"shelf"}) {
		t.Errorf("unknown %v", s.Unknown)
	}
}

func TestCSVShapes(t *testing.T) {
	cases := []struct{ about, body string }{
		{"commas", "Tag,TITLE,weight,Serial No\nP1,\"Press, old\",\"1,350 lb\",77\n"},
		{"semicolons", "tag;title;weight;serial\nP1;Press, old;1,350 lb;77\n"},
		{"tabs", "tag\ttitle\tweight\tserial\nP1\tPress, old\t1,350 lb\t77\n"},
		{"another order, blank rows and columns", "\n,,\nWt.ignored,Serial_Number,wt,, Title ,#\n\n,77,\"1,350 lb\",,\"Press, old\",P1\n,,,\n"},
		{"spaces about quotes", "tag , title,weight ,s/n\nP1 , \"Press, old\" ,\"1,350 lb\",  77\n"},
		{"short row", "serial,tag,weight,title,price,count\n77,P1,\"1,350 lb\",\"Press, old\"\n"},
		{"a comma at the very end", "tag,title,weight,serial,price\nP1,\"Press, old\",\"1,350 lb\",77,"},
		{"unit in the heading", "tag,title,weight (lb),serial\nP1,\"Press, old\",\"1,350\",77\n"},
	}
	for _, c := range cases {
		t.Run(c.about, func(t *testing.T) {
			s := readString(t, "x.csv", c.body)
			if len(s.Bad) != 0 || len(s.Lots) != 1 {
				t.Fatalf("lots %v, bad %v", s.Lots, s.Bad)
			}
			l := s.Lots[0].Lot
			if l.GetTag() != "P1" || l.GetTitle() != "Press, old" || l.GetSerial() != "77" || l.GetWeight().GetMassKg() != 1350*0.45359237 {
				t.Errorf("got %v", l)
			}
		})
	}
}

func TestUnknownColumns(t *testing.T) {
	s := readString(t, "x.csv", "title,notes,description,shelf,problem,item\nx,a,b,c,d,e\n")
	if want := []string{"notes", "shelf", "item"}; !slices.Equal(s.Unknown, want) {
		t.Errorf("unknown %v, want %v", s.Unknown, want)
	}
	if got := s.Lots[0].Lot; got.GetDescription() != "b" || got.GetTitle() != "x" {
		t.Errorf("an alias won over the column's own name: %v", got)
	}
}

func TestHeadingUnits(t *testing.T) {
	cases := []struct {
		heading, cell string
		kg            float64
	}{
		{"weight (kg)", "600", 600},
		{"Weight (KG)", "about 600", 600},
		{"weight (kg)", "weighed 600", 600},
		{"weight (kg)", "600 weighed", 600},
		{"weight (kg)", "100 lb", 45.359237},
		{"weight (kg)", "½", 0.5},
		{"weight (approx.)", "100", 45.359237},
		{"weight", "100", 45.359237},
	}
	for _, c := range cases {
		s := readString(t, "x.csv", "title,"+c.heading+"\nx,"+c.cell+"\n")
		if len(s.Lots) != 1 || s.Lots[0].Lot.GetWeight().GetMassKg() != c.kg {
			t.Errorf("%s under %s: %v %v, want %v kg", c.cell, c.heading, s.Lots, problemsOf(s), c.kg)
		}
	}
	s := readString(t, "x.csv", "title,price (GBP)\nx,900 OBO\n")
	if got := moneyText(s.Lots[0].Lot.GetPrice()); got != "GBP 900" {
		t.Errorf("the price is %s", got)
	}
}

func TestRowNumbersAsASpreadsheetShowsThem(t *testing.T) {
	s := readString(t, "x.csv", "title,weight\n\"two\nlines\",heavy\n\nx,\"y\n")
	wantProblems(t, problemsOf(s), "row 2, column weight: ", "row 4: a cell that begins with a quote")
	if got := s.Bad[0].Cells[0]; got != "two\nlines" {
		t.Errorf("cell %q", got)
	}
}

func TestBrokenQuotesLoseOneLine(t *testing.T) {
	s := readString(t, "x.csv", "tag,title\n1,\"10 in press\n2,\"Old\" press\n3,12\" stick\n4,\"12\"\" stick\"\n")
	wantProblems(t, problemsOf(s), "row 2: a cell that begins with a quote", "row 3: a cell that begins with a quote")
	if len(s.Lots) != 2 || s.Lots[0].Lot.GetTitle() != `12" stick` || s.Lots[1].Lot.GetTitle() != `12" stick` {
		t.Errorf("lots %v", s.Lots)
	}
	if got := s.Bad[1].Cells; !slices.Equal(got, []string{"2", `"Old" press`}) {
		t.Errorf("cells %q", got)
	}
}

func TestKindColumn(t *testing.T) {
	cases := []struct {
		row   string
		kind  pb.Kind
		class pb.Class
		note  string
	}{
		{"platen jobber,,Corwen 8x12", pb.Kind_KIND_PRESS, pb.Class_CLASS_PLATEN_JOBBER, ""},
		{"press,treadle press,Corwen 8x12", pb.Kind_KIND_PRESS, pb.Class_CLASS_PLATEN_JOBBER, ""},
		{",hand press,Aldmoor", pb.Kind_KIND_PRESS, pb.Class_CLASS_HAND_PRESS, ""},
		{"platen,jobber,Corwen", pb.Kind_KIND_PRESS, pb.Class_CLASS_PLATEN_JOBBER, ""},
		{"stone,,A marble slab", pb.Kind_KIND_STONES, 0, ""},
		{"fount,,10pt roman", pb.Kind_KIND_METAL_TYPE, 0, ""},
		{"case,,Empty", pb.Kind_KIND_CABINETS, pb.Class_CLASS_TYPE_CASE, ""},
		{",,\"Corwen platen jobber, 8x12\"", pb.Kind_KIND_PRESS, pb.Class_CLASS_PLATEN_JOBBER, "no kind is given: taken as platen jobber"},
		{",,A box of this and that", pb.Kind_KIND_OTHER, 0, "no kind is given: taken as other"},
	}
	for _, c := range cases {
		s := readString(t, "x.csv", "kind,class,title\n"+c.row+"\n")
		if len(s.Lots) != 1 {
			t.Errorf("%s: %v", c.row, problemsOf(s))
			continue
		}
		r := s.Lots[0]
		if r.Lot.GetKind() != c.kind || r.Lot.GetClass() != c.class || strings.Join(r.Notes, "|") != c.note {
			t.Errorf("%s is %v %v, notes %v", c.row, r.Lot.GetKind(), r.Lot.GetClass(), r.Notes)
		}
	}
}

func TestCellErrors(t *testing.T) {
	cases := []struct{ header, row, want string }{
		{"title,tag", "x," + strings.Repeat("9", 41), "row 2, column tag: is 41 characters long: at most 40 will do"},
		{"title", strings.Repeat("x", 201), "row 2, column title: is 201 characters long: at most 200 will do"},
		{"title,kind,class", "x,wood type,hand press", `row 2, column class: "hand press" is a class of press, and the kind is wood type: change one of them`},
		{"title,kind,class", "x,hand press,jobber", `row 2, column class: "jobber" does not go with the kind, which says hand press: change one of them`},
		{"title,class", "x,contraption", `row 2, column class: "contraption" is not a class`},
		{"title,kind", "x,platen joober", `row 2, column kind: "platen joober" is not a kind: did you mean platen jobber?`},
		{"title,kind,size", "x,press,large", `row 2, column size: "large" is not the size of a press`},
		{"title,kind,size", "x,metal type,10x15", `row 2, column size: "10x15" is not a type size`},
		{"title,count", "x,0", `row 2, column count: "0" is not a count`},
		{"title,count", `x,"1,5"`, `row 2, column count: "1,5" is not a count`},
		{"title,height", "x,-4", `row 2, column height: "-4" is not a length`},
		{"title,price", "x,-4", `row 2, column price: "-4" is not a price`},
	}
	for _, c := range cases {
		s := readString(t, "x.csv", c.header+"\n"+c.row+"\n")
		wantProblems(t, problemsOf(s), c.want)
	}
}

func TestSecondCurrency(t *testing.T) {
	s := readString(t, "x.csv", "title,price\nx,900\ny,$5\nz,free\n", Currency("GBP"))
	for i, want := range []string{"GBP 900", "USD 5", "GBP 0"} {
		if got := moneyText(s.Lots[i].Lot.GetPrice()); got != want {
			t.Errorf("price %d is %s, want %s", i, got, want)
		}
	}
}

func TestCountWithCommas(t *testing.T) {
	s := readString(t, "x.csv", "title,count\nSorts,\"1,200\"\n")
	if len(s.Lots) != 1 || s.Lots[0].Lot.GetCount() != 1200 {
		t.Errorf("lots %v, bad %v", s.Lots, problemsOf(s))
	}
}

func TestUnknownIsNotZero(t *testing.T) {
	l := readString(t, "x.csv", "title,count,weight,width,price,missing\nx,,,,,\n").Lots[0].Lot
	if l.Count != nil || l.Weight != nil || l.Size != nil || l.Price != nil || l.Parts != nil {
		t.Errorf("got %v", l)
	}
}
