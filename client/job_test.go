package client

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

func write(t *testing.T, name, body string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(body), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestReadSheet(t *testing.T) {
	path := write(t, "a.csv", "tag,title,price\n1,A press,5\n,A box,\n")
	if _, err := ReadSheet(path, &pb.Shop{}, "USD"); !errors.Is(err, ErrNoShop) {
		t.Errorf("got %v, want ErrNoShop", err)
	}
	j, err := ReadSheet(path, dayton(), "GBP")
	if err != nil {
		t.Fatal(err)
	}
	if lots := j.Lots(); len(lots) != 2 || lots[0].GetPrice().GetCurrencyCode() != "GBP" || j.Row(1) != 3 {
		t.Errorf("got %v", lots)
	}
	if i := slices.IndexFunc(j.Notes, func(n string) bool { return strings.HasPrefix(n, "row 3 has no tag and is called ") }); i < 0 {
		t.Errorf("notes %q do not tell of the tag", j.Notes)
	}
	j.Draft()
	if j.Lots()[0].GetState() != pb.LotState_LOT_STATE_DRAFT {
		t.Error("it is no draft")
	}
	if _, err := ReadSheet(path+".csv", dayton(), "USD"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("got %v", err)
	}
	if _, err := ReadSheet(path, dayton(), "florins"); err == nil {
		t.Error("florins were taken")
	}
}

// What is said beside a sheet wins over what the sheet says.
func TestReadSheetOverridden(t *testing.T) {
	path := write(t, "a.yaml", "shop: {title: Theirs, place: 'Akron, OH', story: Long.}\nlots: []\n")
	j, err := ReadSheet(path, &pb.Shop{Place: "Dayton, OH"}, "USD")
	if err != nil {
		t.Fatal(err)
	}
	same(t, "the shop", j.shop, &pb.Shop{Title: "Theirs", Place: "Dayton, OH", Story: "Long."})
}

func TestSaveRejected(t *testing.T) {
	j, err := ReadSheet(write(t, "a.csv", "tag,title,price\n1,A press,5\n2,,6\n"), dayton(), "USD")
	if err != nil || len(j.Rejected()) != 1 {
		t.Fatal(j.Rejected(), err)
	}
	path := RejectedPath(filepath.Join(t.TempDir(), "a.csv"))
	save := func(wantKept string) string {
		t.Helper()
		kept, err := j.SaveRejected(path)
		if err != nil || kept != wantKept {
			t.Errorf("kept %q, %v; want %q", kept, err, wantKept)
		}
		body, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return string(body)
	}
	first := save("")
	if !strings.Contains(first, "2,,6,") || strings.Contains(first, "A press") {
		t.Errorf("it is %q", first)
	}
	save("")
	if err := os.WriteFile(path, []byte("corrected"), 0o600); err != nil {
		t.Fatal(err)
	}
	if again := save(path + ".before"); again != first {
		t.Errorf("it is %q", again)
	}
	if kept, err := os.ReadFile(path + ".before"); string(kept) != "corrected" {
		t.Errorf("kept %q, %v", kept, err)
	}
	if _, err := j.SaveRejected(filepath.Join(path, "no", "folder")); err == nil {
		t.Error("a file in no folder was written")
	}
}

func TestRejectedPath(t *testing.T) {
	for path, want := range map[string]string{"a/b.csv": "a/b.rejected.csv", "b.yaml": "b.rejected.csv", "a.b/c": "a.b/c.rejected.csv"} {
		if got := RejectedPath(path); got != want {
			t.Errorf("%s: got %s, want %s", path, got, want)
		}
	}
}

func TestKeyOf(t *testing.T) {
	for field, want := range map[string]string{
		"title": "title", "size.width_mm": "width", "metal_type.cases": "cases", "weight.mass_kg": "weight",
		"press.chase.width_mm": "chase", "press.heaviest_piece_kg": "heaviest_piece", "metal_type.area_mm2": "area",
		"size_as_written": "size", "parts": "missing", "general": "general", "price.units": "price", "": "",
	} {
		if got := keyOf(field); got != want {
			t.Errorf("%s: got %s, want %s", field, got, want)
		}
	}
}

func TestReadWanted(t *testing.T) {
	right := "title: A seeker\nplace: 'Dayton, OH'\nwants:\n  - title: A press\n    kind: press\n    max_price: 50\n"
	list, err := ReadWanted(write(t, "w.yaml", right), "GBP")
	if err != nil || list.GetTown().GetLabel() != "Dayton, OH" || list.GetWants()[0].GetFilter().GetMaxPrice().GetCurrencyCode() != "GBP" {
		t.Errorf("got %v, %v", list, err)
	}
	for _, body := range []string{"", "title: A seeker\n", strings.Replace(right, "Dayton, OH", "Xyzzyville", 1)} {
		if list, err := ReadWanted(write(t, "w.yaml", body), "USD"); err == nil {
			t.Errorf("%q is %v", body, list)
		}
	}
}
