package sheet

import (
	"bytes"
	"io/fs"
	"path"
	"strings"
	"testing"
	"unicode"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
	"heirpress/testdata/demo"
)

// seed adds the beginnings of the demo's files with this ending, and some that
// are odd.
func seed(f *testing.F, ending string, odd ...string) {
	names, err := fs.Glob(demo.FS, "*"+ending)
	if err != nil {
		f.Fatal(err)
	}
	for _, n := range names {
		body, err := fs.ReadFile(demo.FS, path.Base(n))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(body[:min(len(body), 2000)])
	}
	for _, body := range odd {
		f.Add([]byte(body))
	}
}

// letters is what must not be lost of a table: everything but quotes, spaces
// and what stands between cells.
func letters(s string, comma byte) string {
	return strings.Map(func(r rune) rune {
		if r == '"' || r == rune(comma) || unicode.IsSpace(r) {
			return -1
		}
		return r
	}, s)
}

// csvSeeds are what the fuzzing of tables starts from.
func csvSeeds(f *testing.F) {
	seed(f, ".csv",
		"title\nx\n", "\ufefftitle;weight (kg)\r\n\"a\"\"b\";600\r\n", "title\tprice\na\t'=1\n", "title,\n\"a\nb\",c\n\"d", "Title,#,title\n",
		"\xff\xfet\x00\n\x00", "title,kind\nx,platen jobber\ny,\xe9\n", "title,count,size,kind\n,,,\nx,1,24pt,type\nx,1,24pt,type\n")
}

// FuzzReadCSV holds the reader alone: nothing that was written is lost, and
// every row is a lot or a bad row.
func FuzzReadCSV(f *testing.F) {
	csvSeeds(f)
	f.Fuzz(func(t *testing.T, body []byte) {
		if s, err := Read("x.csv", bytes.NewReader(body)); err == nil {
			rowsHold(t, s, body)
		}
	})
}

// FuzzCSVBack holds what is made of it: rejected rows, and sheets written from
// what was read, read back the same.
func FuzzCSVBack(f *testing.F) {
	csvSeeds(f)
	f.Fuzz(func(t *testing.T, body []byte) {
		s, err := Read("x.csv", bytes.NewReader(body))
		if err != nil {
			return
		}
		checkLots(t, s)
		checkRejected(t, s)
		checkBack(t, s, CSV)
		checkBack(t, s, YAML)
	})
}

func rowsHold(t testing.TB, s *Sheet, body []byte) {
	content, err := readText(bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	full := 0
	var cells strings.Builder
	rows := splitter{rest: content.body, comma: s.comma}
	for rec, ok := rows.next(); ok; rec, ok = rows.next() {
		cells.WriteString(strings.Join(rec.cells, ""))
		if !rec.blank() {
			full++
		}
	}
	if got, want := letters(cells.String(), s.comma), letters(content.body, s.comma); got != want {
		t.Fatalf("the cells hold\n%q of\n%q", got, want)
	}
	if len(s.Lots)+len(s.Bad) != full-1 {
		t.Fatalf("%d lots and %d bad rows of %d", len(s.Lots), len(s.Bad), full-1)
	}
	checkLots(t, s)
}

func FuzzReadYAML(f *testing.F) {
	seed(f, ".yaml",
		"lots: [{title: x, bill: {A: 1}, kind: wood type}]", "lots:\n- &a {title: x}\n- *a\n", "lots:\n- {title: x, <<: {tag: y}}\n", "? [a]\n: b\n",
		"lots:\n- {title: x, weight: {low: 1 lb, high: 2 lb}}\n- {? [a, b] : c}\n", "shop: {title: !!binary eA==}\n", "--- !!set {lots}\n")
	f.Fuzz(func(t *testing.T, body []byte) {
		s, err := Read("x.yaml", bytes.NewReader(body))
		if err != nil {
			return
		}
		checkLots(t, s)
		checkRejected(t, s)
		checkBack(t, s, YAML)
	})
}

func FuzzReadWanted(f *testing.F) {
	seed(f, ".yaml", "title: x\nplace: y\nwants: [{title: z, near: w, within: any}]\n", "title: x\nplace: y\nreach: 5\nwants: [{title: z, kind: [press], class: jobber}]\n")
	f.Fuzz(func(t *testing.T, body []byte) {
		list, err := ReadWanted("x.yaml", bytes.NewReader(body))
		if err != nil {
			return
		}
		var b bytes.Buffer
		if err := WriteWanted(&b, list); err != nil {
			t.Fatal(err)
		}
		written := b.String()
		back, err := ReadWanted("x.yaml", &b)
		if err != nil {
			t.Fatalf("%v\n%s", err, written)
		}
		if !proto.Equal(back, list) {
			t.Fatalf("came back as\n%v\nand was\n%v\n%s", back, list, written)
		}
	})
}

// checkLots holds lots to what is promised of every lot.
func checkLots(t testing.TB, s *Sheet) {
	t.Helper()
	tags := map[string]bool{}
	for _, r := range s.Lots {
		l := r.Lot
		tag := trade.FoldTag(l.GetTag())
		if l.GetTitle() == "" || tag == "" || tags[tag] || l.GetKind() == 0 || l.GetDetail() == nil || r.Number == 0 {
			t.Fatalf("row %d is %v", r.Number, l)
		}
		tags[tag] = true
	}
	for _, b := range s.Bad {
		if len(b.Problems) == 0 || b.Number == 0 {
			t.Fatalf("a bad row without a problem: %v", b)
		}
	}
}

// checkRejected reads the rejected file back: every row is there.
func checkRejected(t *testing.T, s *Sheet) {
	t.Helper()
	var b bytes.Buffer
	if err := WriteRejected(&b, s); err != nil {
		t.Fatal(err)
	}
	written := b.String()
	again, err := Read("x.csv", &b)
	if err != nil {
		t.Fatalf("the rejected file cannot be read: %v\n%s", err, written)
	}
	if len(again.Lots)+len(again.Bad) != len(s.Bad) {
		t.Fatalf("%d rows came back of %d\n%s", len(again.Lots)+len(again.Bad), len(s.Bad), written)
	}
}

// checkBack writes the lots, and reads them back equal.
func checkBack(t *testing.T, s *Sheet, format Format) {
	t.Helper()
	var lots []*pb.Lot
	for _, r := range s.Lots {
		lots = append(lots, r.Lot)
	}
	var b bytes.Buffer
	if err := Write(&b, format, s.Shop, lots); err != nil {
		t.Fatal(err)
	}
	written := b.String()
	back, err := Read("x."+string(format), &b)
	if err != nil {
		t.Fatalf("%v\n%s", err, written)
	}
	if len(back.Lots) != len(lots) {
		t.Fatalf("%d lots came back of %d: %v\n%s", len(back.Lots), len(lots), problemsOf(back), written)
	}
	for i, r := range back.Lots {
		if !proto.Equal(r.Lot, lots[i]) {
			t.Fatalf("as %s came back\n%v\nand was\n%v\n%s", format, r.Lot, lots[i], written)
		}
	}
}
