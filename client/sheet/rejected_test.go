package sheet

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
)

func rejected(t *testing.T, s *Sheet) string {
	t.Helper()
	var b strings.Builder
	if err := WriteRejected(&b, s); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestRejectedFile(t *testing.T) {
	cases := []struct{ about, name, body, want string }{
		{"own headings, order and case", "x.csv", "Shelf,TITLE,Price\nnorth,Press,dear\nsouth,Stick,$5\n",
			"Shelf,TITLE,Price,problem\nnorth,Press,dear,\"column price: \"\"dear\"\" is not a price: "},
		{"semicolons and a mark", "x.csv", "\ufefftitle;price\nPress, old;dear\n", "\ufefftitle;price;problem\nPress, old;dear;"},
		{"a formula", "x.csv", "title,price\n=1+1,@x\n", "title,price,problem\n'=1+1,'@x,"},
		{"a cell too many", "x.csv", "title,price\nPress,1,350\n", "title,price,,problem\nPress,1,350,\"cell 3, \"\"350\"\", stands under no heading"},
		{"broken quotes", "x.csv", "title,price\n\"Old\" press,5\n", "title,price,problem\n\"\"\"Old\"\" press\",5,\"a cell that begins with a quote"},
		{"the second of two alike", "x.csv", "title,price\nStick,5\nStick,five\n", "title,price,tag,problem\nStick,five,U-"},
		{"the second of two alike, with tags", "x.csv", "lot no,title,price\n,Stick,5\n,Stick,five\n", "lot no,title,price,problem\nU-"},
		{"YAML", "x.yaml", "lots:\n- {title: Press, kind: press, price: dear, drive: treadle, missing: [a, b]}\n",
			"tag,kind,class,title,description,make,model,serial,size,count,weight,width,depth,height,condition,missing,price,drive,problem\n,press,,Press,,,,,,,,,,,,\"a, b\",dear,treadle,\"key price: "},
		{"a text for a lot", "x.yaml", "lots: [Press]\n",
			"tag,kind,class,title,description,make,model,serial,size,count,weight,width,depth,height,condition,missing,price,,problem\n,,,,,,,,,,,,,,,,,Press,\"write keys here"},
	}
	for _, c := range cases {
		t.Run(c.about, func(t *testing.T) {
			if got := rejected(t, readString(t, c.name, c.body)); !strings.HasPrefix(got, c.want) {
				t.Errorf("got\n%s\nwant\n%s…", got, c.want)
			}
		})
	}
}

func TestRejectedFileComesBack(t *testing.T) {
	s := demoSheet(t, "with-bad-rows.csv")
	// As it is, it is rejected again in the same words, and the words are passed over.
	again := readString(t, "x.csv", rejected(t, s))
	if len(again.Lots) != 1 || len(again.Bad) != len(s.Bad)-1 {
		// The tag A1 is no longer there twice, so that one row is right now.
		t.Errorf("%d lots, %d bad: %v", len(again.Lots), len(again.Bad), problemsOf(again))
	}
	if slices.Contains(again.Unknown, problemColumn) {
		t.Error("the problem column is called unknown")
	}
	fixed := strings.NewReplacer(
		"heavy,", "900 lb,", "metal type,,", "metal type,12pt old style,", "tabel,", "other,", ",some,", ",1,",
		",wide,", ",30 in,", "ask Ada", "free", "1,350 lb,,working,,$15,east", "\"1,350 lb\",,working,,$15,east,",
	).Replace(rejected(t, s))
	if back := readString(t, "x.csv", fixed); len(back.Lots) != len(s.Bad) {
		t.Errorf("%d lots of %d: %v\n%s", len(back.Lots), len(s.Bad), problemsOf(back), fixed)
	}
}

func TestRejectedTwice(t *testing.T) {
	once := rejected(t, readString(t, "x.csv", "title,price\nPress,dear\n"))
	twice := rejected(t, readString(t, "x.csv", once))
	if !strings.HasPrefix(twice, "title,price,problem\n") {
		t.Errorf("got\n%s", twice)
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("the disk is full") }

func TestWritersTellOfAFullDisk(t *testing.T) {
	marked := readString(t, "x.csv", "\ufefftitle,price\nPress,dear\n")
	plain := readString(t, "x.csv", "title,price\nPress,dear\n")
	lots := []*pb.Lot{{Title: "Press"}}
	for what, err := range map[string]error{
		"rejected, with a mark": WriteRejected(full{}, marked),
		"rejected":              WriteRejected(full{}, plain),
		"csv":                   Write(full{}, CSV, nil, lots),
		"xlsx":                  Write(full{}, XLSX, nil, lots),
		"yaml":                  Write(full{}, YAML, nil, lots),
		"wanted":                WriteWanted(full{}, &pb.WantedList{Title: "x"}),
	} {
		if err == nil || !strings.Contains(err.Error(), "the disk is full") {
			t.Errorf("%s: got %v", what, err)
		}
	}
}

func TestWriteRefuses(t *testing.T) {
	var b strings.Builder
	if err := Write(&b, "ods", nil, nil); err == nil || err.Error() != `"ods" cannot be written: a sheet is csv, xlsx or yaml` {
		t.Errorf("got %v", err)
	}
}

// What only YAML holds is left out of a table, and never said otherwise.
func TestCSVLeavesOut(t *testing.T) {
	low, high := 400.0, 500.0
	l := &pb.Lot{
		Tag: "P1", Kind: pb.Kind_KIND_PRESS, Title: "Press", Condition: pb.Condition_CONDITION_WORKING, ConditionNote: "Old belt.",
		Weight: &pb.Weight{LowKg: &low, HighKg: &high, Grounds: pb.Grounds_GROUNDS_ESTIMATED},
		Detail: &pb.Lot_Press{Press: &pb.PressDetail{Drive: pb.Drive_DRIVE_TREADLE}},
	}
	var b strings.Builder
	if err := Write(&b, CSV, nil, []*pb.Lot{l}); err != nil {
		t.Fatal(err)
	}
	want := "tag,kind,title,description,make,model,serial,size,count,weight,width,depth,height,condition,missing,price\n" +
		"P1,press,Press,,,,,,,,,,,working: Old belt.,,\n"
	if b.String() != want {
		t.Errorf("got\n%s", b.String())
	}
}

// The shop's day is not written as if it were the lot's own.
func TestClearByFromShop(t *testing.T) {
	l := &pb.Lot{Tag: "P1", Title: "Press", Kind: pb.Kind_KIND_PRESS, ClearBy: &pb.Date{Year: 2027, Month: 1, Day: 31}, ClearByFromShop: true,
		Detail: &pb.Lot_Press{Press: &pb.PressDetail{}}}
	var b strings.Builder
	if err := Write(&b, YAML, nil, []*pb.Lot{l}); err != nil {
		t.Fatal(err)
	}
	l.ClearBy, l.ClearByFromShop = nil, false
	if got := readString(t, "x.yaml", b.String()).Lots[0].Lot; !proto.Equal(got, l) {
		t.Errorf("got %v", got)
	}
}
