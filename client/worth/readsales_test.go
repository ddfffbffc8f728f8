package worth

import (
	"fmt"
	"strings"
	"testing"

	"heirpress/client/sheet"
	pb "heirpress/proto/heirpress/v1"
)

func TestReadSales(t *testing.T) {
	got, bad, err := ReadSales("dir/sales.csv", strings.NewReader("\ufeff"+`Date,Title,Kind,Class,Size,Count,Weight,Condition,Missing,Complete,Town,Price,Currency,Sale
2026-03-14,"Jobber, 10x15",press,platen jobber,10x15,2,"1,540 lb",working,rollers,,"Dayton, OH",900,,Smith Hall

14 March 2025,Roman,metal type,,12pt,,40 kg,,,80%,"Leeds, England",£120.50,gbp,
`), "USD")
	if err != nil || len(bad) > 0 || len(got) != 2 {
		t.Fatalf("%d sales, %v, %v", len(got), bad, err)
	}
	s := got[0]
	if s.Source != "sales.csv, row 2" || s.Event != "smith hall" || s.Lot.GetClass() != pb.Class_CLASS_PLATEN_JOBBER || s.Lot.GetTown().GetLabel() != "Dayton, OH" ||
		s.Lot.GetPricePaid().GetUnits() != 900 || s.Lot.GetCount() != 2 || s.Lot.GetPress().GetChase() == nil || s.Complete != nil || s.Date.GetMonth() != 3 {
		t.Errorf("%+v", s)
	}
	if s := got[1]; *s.Complete != 0.8 || s.Lot.GetPricePaid().GetCurrencyCode() != "GBP" || s.Lot.GetMetalType().GetSize().GetPoints() != 12 {
		t.Errorf("%+v", s)
	}
	if got, bad, err := ReadSales("s.csv", strings.NewReader("date;title;kind;price\n2026-03-14;A press;hand press;900\n"), "EUR"); err != nil || len(bad) > 0 || len(got) != 1 {
		t.Errorf("with semicolons: %v, %v, %v", got, bad, err)
	}
	// As an inventory sheet is read: an inch mark in a cell, a guarded cell, and
	// letters that are not Unicode.
	odd := "date,title,kind,price,size\n2026-03-14,'=Jobber 10\" x 15\",platen jobber,\xa3900,10x15\n"
	got, bad, err = ReadSales("s.csv", strings.NewReader(odd), "USD")
	if err != nil || len(bad) > 0 || len(got) != 1 || got[0].Lot.GetTitle() != "=Jobber 10\" x 15\"" || got[0].Lot.GetPricePaid().GetCurrencyCode() != "GBP" {
		t.Errorf("as a sheet: %v, %v, %v", got, bad, err)
	}
}

func TestWrongRows(t *testing.T) {
	const head = "date,title,kind,size,complete,town,price,currency\n"
	const good = "2026-03-14,A press,hand press,,,,900,\n"
	for _, c := range []struct{ row, want string }{
		{"someday,A press,hand press,,,,900,", `row 3, column date: "someday" is not a day`},
		{",A press,hand press,,,,900,", "row 3, column date: is empty, and is needed"},
		{"2026-03-14,,hand press,,,,900,", "row 3, column title: is empty"},
		{"2026-03-14,A press,hnd press,,,,900,", "row 3, column kind: "},
		{"2026-03-14,A press,hand press,,lots,,900,", `row 3, column complete: "lots" is no share`},
		{"2026-03-14,A press,hand press,,101,,900,", "column complete: "},
		{"2026-03-14,A press,hand press,,,Xyzzyville,900,", "row 3, column town: "},
		{"2026-03-14,A press,hand press,,,,some,", "row 3, column price: "},
		{"2026-03-14,A press,hand press,,,,free,", "row 3, column price: a gift says nothing"},
		{"2026-03-14,A press,hand press,,,,£900,USD", `column price: "£900" is in GBP, and the column currency says USD`},
		{"2026-03-14,A press,hand press,,,,900,florins", "row 3, column currency: "},
		{"\"2026-03-14,A press,hand press,,,,900,", "row 3: "},
		{"2026-03-14,A press,hand press,,,,900,,more", `row 3: "more" stands under no heading`},
	} {
		got, bad, err := ReadSales("s.csv", strings.NewReader(head+good+c.row+"\n"+good), "USD")
		if err != nil || len(got) != 2 || len(bad) == 0 || !strings.Contains(bad[0].Error(), c.want) {
			t.Errorf("%s: %d used, %v, %v; want %q", c.row, len(got), bad, err, c.want)
		}
	}
}

func TestFilesThatCannotBeRead(t *testing.T) {
	for _, c := range []struct{ file, want string }{
		{"", "s.csv: is empty"},
		{"date,title,kind\n", "s.csv: has no column price"},
		{"date,title,kind,price,colour\n", `s.csv: "colour" is not a column here: the columns are date, `},
		{"date,title,kind,price,price\n", "s.csv: column price is there twice"},
		{"date,title,kind,price,\n", "s.csv: column 5 has no heading"},
		{"\"date,title,kind,price\n", "s.csv: row 1: "},
		{"PK\x03\x04date,title,kind,price\n", "s.csv: is a workbook or an archive"},
		{strings.Repeat("x", sheet.MaxBytes+1), fmt.Sprintf("s.csv: is larger than %d MiB", sheet.MaxBytes>>20)},
		{"date,title,kind,price\n" + strings.Repeat(",,,x\n", sheet.MaxRows+1), "s.csv: has more than 20000 rows"},
	} {
		if _, _, err := ReadSales("s.csv", strings.NewReader(c.file), "USD"); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.40q: %v, want %q", c.file, err, c.want)
		}
	}
}

func FuzzReadSales(f *testing.F) {
	f.Add("date,title,kind,price,size,town\n2026-03-14,A press,platen jobber,900,10x15,\"Dayton, OH\"\nx,,,\n")
	f.Add("date;title;kind;price;complete;currency;sale\n1/2/2026;A;type;1;80%;gbp;x\n")
	f.Fuzz(func(t *testing.T, text string) {
		sales, bad, err := ReadSales("s.csv", strings.NewReader(text), "USD")
		if err != nil {
			return
		}
		for _, p := range bad {
			if p.Row < 2 || p.Message == "" {
				t.Fatalf("%q: %v", text, p)
			}
		}
		r := Make(Input{Lots: []*pb.Lot{jobber()}, Sales: sales, Today: today, Currency: "USD"})
		textOf(t, r)
	})
}
