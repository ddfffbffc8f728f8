package rigging

import (
	"bytes"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

func found(t *testing.T, text string) *place.Town {
	t.Helper()
	town, err := place.Find(text)
	if err != nil {
		t.Fatal(err)
	}
	return &town
}

func lotIn(town *place.Town, tag string) *pb.Lot {
	return &pb.Lot{Tag: tag, Title: "A proof press", Kind: pb.Kind_KIND_PRESS, Town: town.Message()}
}

func TestWays(t *testing.T) {
	dayton, detroit, london := found(t, "Dayton, OH"), found(t, "Detroit, MI"), found(t, "London, England")
	load := []*pb.Lot{lotIn(dayton, "P1"), lotIn(detroit, "P2"), lotIn(dayton, "P3")}
	tests := []struct {
		name  string
		site  Site
		lines []string // of the section, in order
	}{
		{"nobody says where it goes", Site{}, nil},
		{"two towns to one", Site{To: End{Town: found(t, "Toronto")}},
			[]string{"From Dayton, OH to Toronto, ON: about ", "At the wheel: ", "It crosses a customs border, from the United States into Canada: ", "From Detroit, MI to Toronto, ON: about ", "Hours are without stops"}},
		{"in one town", Site{From: End{Town: dayton}, To: End{Town: dayton}}, []string{"From Dayton, OH to Dayton, OH: in the same town."}},
		{"over the ocean", Site{From: End{Town: dayton}, To: End{Town: london}}, []string{"From Dayton, OH to London, England: no road leads there"}},
	}
	for _, test := range tests {
		var out bytes.Buffer
		if err := Text(&out, Plan(load, &test.site), trade.US); err != nil {
			t.Fatal(err)
		}
		text := strings.Join(strings.Fields(out.String()), " ")
		if has := strings.Contains(text, "ON THE ROAD"); has != (test.lines != nil) {
			t.Errorf("%s: a section on the way: %v", test.name, has)
		}
		for _, line := range test.lines {
			_, rest, ok := strings.Cut(text, line)
			if text = rest; !ok {
				t.Errorf("%s: %q is not said, or not there", test.name, line)
				break
			}
		}
	}
}

// The hours of a brief are those of package place, and a lot that is in no town
// is no start.
func TestWayFigures(t *testing.T) {
	dayton, toronto := found(t, "Dayton, OH"), found(t, "Toronto")
	b := Plan([]*pb.Lot{{Tag: "X"}, lotIn(dayton, "P1")}, &Site{To: End{Town: toronto}})
	if len(b.Ways) != 1 {
		t.Fatalf("%d ways", len(b.Ways))
	}
	j, w := place.JourneyBetween(*dayton, *toronto), b.Ways[0]
	if w.Km != j.Road.Km || w.Truck.HighHours != j.Truck.High.Hours() || w.WithBreaks.HighHours != j.High.Total.Hours() || w.Law != place.USLaw.Name {
		t.Errorf("%+v of %+v", w, j)
	}
}
