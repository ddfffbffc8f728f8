package rigging_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"heirpress/client/rigging"
	"heirpress/client/sheet"
	"heirpress/search/trade"
	"heirpress/testdata/demo"

	pb "heirpress/proto/heirpress/v1"
)

// marrowby is the demo's shop.
func marrowby(t testing.TB) []*pb.Lot {
	t.Helper()
	f, err := demo.FS.Open("marrowby.yaml")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := sheet.Read("marrowby.yaml", f)
	if err != nil {
		t.Fatal(err)
	}
	var lots []*pb.Lot
	for _, r := range s.Lots {
		r.Lot.ShopTitle = s.Shop.GetTitle()
		lots = append(lots, r.Lot)
	}
	return lots
}

func only(t testing.TB, lots []*pb.Lot, tag string) []*pb.Lot {
	t.Helper()
	for _, l := range lots {
		if l.GetTag() == tag {
			return []*pb.Lot{l}
		}
	}
	t.Fatalf("the demo has no lot %s", tag)
	return nil
}

func demoSite(t testing.TB) *rigging.Site {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "rigging", "site.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := rigging.ReadSite("site.yaml", f)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// read is a brief as it is read out, every run of spacing one space.
func read(t testing.TB, load []*pb.Lot, site *rigging.Site, u trade.Units) string {
	t.Helper()
	var out bytes.Buffer
	if err := rigging.Text(&out, rigging.Plan(load, site), u); err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(out.String()), " ")
}

func says(t *testing.T, text string, wants ...string) {
	t.Helper()
	for _, w := range wants {
		if !strings.Contains(text, w) {
			t.Errorf("the brief does not say %q", w)
		}
	}
}

// TestHeaviestPress reads the brief of the heaviest press, 2,450 lb as stated.
// Figures that follow from that are worked out by hand.
func TestHeaviestPress(t *testing.T) {
	load := only(t, marrowby(t), "P2")
	says(t, read(t, load, nil, trade.US),
		"Weight: 2,450 lb, stated.",
		"Call professional riggers before anything is moved",
		// 3 in 100 of 2,450 is 73.5, twice that 147; up 1 in 12 277, 1 in 8 377.
		"push to start: 150 lb (5 people); to keep rolling: 75 lb; up 1 in 12: 280 lb; up 1 in 8: 380 lb",
		// 2,450 / 2 times 1.1547, 1.4142 and 2.
		"sling leg at 60 degrees: 1,415 lb; sling leg at 45 degrees: 1,735 lb; sling leg at 30 degrees: 2,450 lb",
		// 52 in and 2 in on each side; the diagonal of 52 by 58.
		"P2 needs the most, 56 in clear as it stands", "P2 needs the most, 78 in from corner to corner",
		// Half of 2,450; 0.8 and 0.5 of it.
		"P2 - tiedowns at least: 2; limits that add up to: 1,225 lb", "forward with 1,960 lb, a hard bend (0.5 g) sideways with 1,225 lb",
		"Three-phase (P2)", "Platen press (P2)",
	)
	says(t, read(t, load, nil, trade.Metric), "Weight: 1,111 kg, stated.", "limits that add up to: 560 kg")
}

func TestHeaviestPressOnASite(t *testing.T) {
	says(t, read(t, only(t, marrowby(t), "P2"), demoSite(t), trade.US),
		"Alley door, 62 in clear and 84 in high: wide enough as they stand for P2.",
		"Hall door, 34 in clear: too narrow, as far as is known, for P2 (56 in).",
		"Landing, 48 in clear: too little to turn these on the spot: P2 (78 in).",
		"Steps: 2 up, 0 down; at 7 in a step the longer flight is 14 in. A ramp over it is 14 ft long at 1 in 12",
		"up 1 in 10: 320 lb",
		"Floor: wood on joists, on the ground, made for dwelling use: 40 psf by design.",
		"Trailer, payload 5,000 lb, deck 16 ft by 6 ft 6 in",
		"P2 - tiedowns at least: 2; limits that add up to: 1,225 lb; use: 2 x 2 in webbing of 2,000 lb over the top.",
		"Dolly, 1,000 lb: P2",
	)
}

func TestBenchPress(t *testing.T) {
	says(t, read(t, only(t, marrowby(t), "P5"), nil, trade.US),
		"Nothing that is known so far calls for professional riggers by itself",
		// 128 lb on a limit of 34.
		"Pellam Junior tabletop press, 5x8 (P5): 128 lb, 3.8 times the limit: far beyond one person",
		"Pickup, payload 1,200 lb",
	)
}

func TestCabinet(t *testing.T) {
	says(t, read(t, only(t, marrowby(t), "K1"), nil, trade.US),
		"always move a cabinet empty", "Or is it the weight without the type?", "Lead and dust (K1)", "One case of a cabinet (K1)",
	)
}

func TestWholeShop(t *testing.T) {
	lots := marrowby(t)
	text := read(t, lots, nil, trade.US)
	says(t, text,
		"lots of Marrowby Job Printing", "The heaviest is L1,", "Metal type (M1 to M20):", "trips with a truck", "Pallet 1",
		"Mercury (L1, L2)", "Knives (T1, T2)", "Solvents and rags (Q5)", "Hand press (P9)",
	)
	b := rigging.Plan(lots, nil)
	if len(b.Load.Items) != len(lots) {
		t.Errorf("%d of %d lots are in the brief", len(b.Load.Items), len(lots))
	}
}

func TestBriefAsJSON(t *testing.T) {
	raw, err := json.Marshal(rigging.Plan(marrowby(t), demoSite(t)))
	if err != nil {
		t.Fatal(err)
	}
	var back rigging.Brief
	if err := json.Unmarshal(raw, &back); err != nil {
		t.Fatal(err)
	}
	again, err := json.Marshal(&back)
	if err != nil || !bytes.Equal(raw, again) {
		t.Errorf("the JSON does not read back (%v)", err)
	}
	var fields map[string]any
	if err := json.Unmarshal(raw, &fields); err != nil {
		t.Fatal(err)
	}
	checkNames(t, "brief", fields)
}

// checkNames holds that every name is in lower camel case.
func checkNames(t *testing.T, at string, v any) {
	switch v := v.(type) {
	case map[string]any:
		for name, inside := range v {
			if strings.ToLower(name[:1]) != name[:1] || strings.ContainsAny(name, "_- ") {
				t.Errorf("%s has a field %s", at, name)
			}
			checkNames(t, at+"."+name, inside)
		}
	case []any:
		for _, inside := range v {
			checkNames(t, at, inside)
		}
	}
}

func BenchmarkWholeShop(b *testing.B) {
	lots, site := marrowby(b), demoSite(b)
	for b.Loop() {
		rigging.Plan(lots, site)
	}
}
