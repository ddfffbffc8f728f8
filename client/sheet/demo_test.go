package sheet

import (
	"io/fs"
	"path/filepath"
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
	"heirpress/testdata/demo"
)

// demoSheet reads a sheet of the demo.
func demoSheet(t *testing.T, name string, opts ...Option) *Sheet {
	t.Helper()
	f, err := demo.FS.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := Read(name, f, opts...)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestDemoSheets(t *testing.T) {
	cases := []struct {
		name     string
		least    int
		currency string
	}{
		{"marrowby.yaml", 60, "USD"},
		{"late-lot.yaml", 1, "USD"},
		{"tolliver.csv", 12, "USD"},
		{"skerrow.yaml", 12, "GBP"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := demoSheet(t, c.name)
			for _, b := range s.Bad {
				t.Errorf("a bad row: %v", b.Problems)
			}
			if len(s.Lots) < c.least {
				t.Errorf("%d lots, want %d or more", len(s.Lots), c.least)
			}
			for _, r := range s.Lots {
				if len(r.Notes) > 0 || r.TagMade {
					t.Errorf("row %d leaves something to be guessed: %v", r.Number, r.Notes)
				}
				if p := r.Lot.GetPrice(); p.GetUnits() > 0 && p.GetCurrencyCode() != c.currency {
					t.Errorf("row %d asks %v", r.Number, p)
				}
			}
			if len(s.Unknown)+len(s.Notes) > 0 {
				t.Errorf("unknown %v, notes %v", s.Unknown, s.Notes)
			}
		})
	}
}

func TestDemoHasEverything(t *testing.T) {
	s := demoSheet(t, "marrowby.yaml")
	if s.Shop.GetPlace() != "Dayton, OH" || s.Shop.GetStory() == "" || dateText(s.Shop.GetClearBy()) != "2027-01-31" {
		t.Errorf("the shop is %v", s.Shop)
	}
	kinds, model := map[pb.Kind]int{}, false
	for _, r := range s.Lots {
		kinds[r.Lot.GetKind()]++
		model = model || r.Lot.GetModel() == "KR15"
	}
	for _, k := range trade.Kinds() {
		if kinds[k] == 0 {
			t.Errorf("no lot is of %s", trade.KindWord(k))
		}
	}
	if !model {
		t.Error("there is no KR15")
	}
}

// The story rests on one fount that cannot set the poster, and on one found
// later that can.
func TestDemoLantern(t *testing.T) {
	short := func(name, tag string) trade.Bill {
		for _, r := range demoSheet(t, name).Lots {
			if r.Lot.GetTag() == tag {
				return trade.Set(trade.BillOf(r.Lot.GetWoodType().GetBill()), "LANTERN FESTIVAL")
			}
		}
		t.Fatalf("%s has no lot %s", name, tag)
		return nil
	}
	if got := short("marrowby.yaml", "W1"); len(got) != 1 || got["L"] != 1 {
		t.Errorf("the first fount is short of %v, want one L", got)
	}
	if got := short("late-lot.yaml", "W9"); len(got) != 0 {
		t.Errorf("the late fount is short of %v", got)
	}
}

func TestDemoPieces(t *testing.T) {
	for _, name := range []string{"marrowby.yaml", "late-lot.yaml", "skerrow.yaml"} {
		for _, r := range demoSheet(t, name).Lots {
			wood, metal := r.Lot.GetWoodType(), r.Lot.GetMetalType()
			n := trade.BillOf(append(wood.GetBill(), metal.GetBill()...)).Pieces()
			if said := int(wood.GetPieces() + metal.GetPieces()); n > 0 && said > 0 && said != n {
				t.Errorf("%s %s has %d pieces and a bill of %d", name, r.Lot.GetTag(), said, n)
			}
		}
	}
}

func TestDemoWantedLists(t *testing.T) {
	for _, name := range []string{"school.yaml", "poster-shop.yaml", "hobby.yaml"} {
		f, err := demo.FS.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		w, err := ReadWanted(name, f)
		if err != nil {
			t.Error(err)
		}
		if len(w.GetWants()) != 3 || w.GetKit() == nil || w.GetReachRoadKm() == 0 {
			t.Errorf("%s is %v", name, w)
		}
	}
}

// Every file of the demo is read by some test here.
func TestDemoFiles(t *testing.T) {
	names, err := fs.Glob(demo.FS, "*")
	if err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{
		"marrowby.yaml": true, "late-lot.yaml": true, "tolliver.csv": true, "skerrow.yaml": true,
		"school.yaml": true, "poster-shop.yaml": true, "hobby.yaml": true, "with-bad-rows.csv": true,
	}
	for _, n := range names {
		if !known[filepath.Base(n)] {
			t.Errorf("%s is read by no test", n)
		}
	}
}
