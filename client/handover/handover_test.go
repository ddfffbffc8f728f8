package handover

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

func paper(t interface{ Fatal(...any) }, in Input) string {
	var out bytes.Buffer
	if err := Text(&out, Make(in)); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// flat is a text without its line ends.
func flat(text string) string { return strings.Join(strings.Fields(text), " ") }

var shop = &pb.Shop{Title: "Marrowby Job Printing", Town: &pb.Town{Label: "Dayton, OH"}, CollectionName: "The Marrowby type"}

func jobber() *pb.Lot {
	return &pb.Lot{
		Tag: "P1", Title: "Halvorsen platen jobber", Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_PLATEN_JOBBER, Serial: "B 4411",
		Weight: &pb.Weight{MassKg: proto.Float64(1200)}, Price: &pb.Money{CurrencyCode: "USD", Units: 987},
		Condition: pb.Condition_CONDITION_NEEDS_CARE, Parts: &pb.Parts{Missing: []string{"rollers"}},
	}
}

func TestPaper(t *testing.T) {
	roman := &pb.Lot{Tag: "M1", Title: "Roman, 12 point", Kind: pb.Kind_KIND_METAL_TYPE, PricePaid: &pb.Money{CurrencyCode: "USD", Units: 40}}
	gift := &pb.Lot{Tag: "X1", Title: "A box of sticks", Kind: pb.Kind_KIND_TOOLS, PricePaid: &pb.Money{CurrencyCode: "USD"}, Parts: &pb.Parts{RestComplete: true}}
	got := flat(paper(t, Input{Shop: shop, Lots: []*pb.Lot{jobber(), roman, gift}, Receiver: "Two Stoats Posters", SeenAt: "Pittsburgh, PA"}))
	for _, says := range []string{
		"Giver: " + blank, "Receiver: Two Stoats Posters", "From: Marrowby Job Printing, Dayton, OH", "Collection: The Marrowby type",
		"1. Tag P1: Halvorsen platen jobber", "serial: B 4411", "missing: rollers; of the rest nobody has said", "paid: " + blank,
		"paid: $40", "condition: nobody has said", "missing: nothing", "paid: nothing: it is a gift",
		`keep them known as "The Marrowby type"`, "They may be seen again at: Pittsburgh, PA", "as they are and where they stand",
		"Lead and dust (M1).", "Call professional riggers.", "no legal advice", "Giver, name:", "Receiver, name:",
	} {
		if !strings.Contains(got, says) {
			t.Errorf("it does not say %q:\n%s", says, got)
		}
	}
	if strings.Contains(got, "987") {
		t.Error("it tells what was asked")
	}
}

// Nothing light and harmless is warned of, and nothing heavy or leaden is not.
func TestCautionsGoWithTheLots(t *testing.T) {
	for name, c := range map[string]struct {
		lot          *pb.Lot
		lead, rigger bool
	}{
		"a press":    {jobber(), false, true},
		"metal type": {&pb.Lot{Tag: "M1", Title: "Roman", Kind: pb.Kind_KIND_METAL_TYPE, Weight: &pb.Weight{MassKg: proto.Float64(10)}}, true, false},
		"wood type":  {&pb.Lot{Tag: "W1", Title: "Gothic", Kind: pb.Kind_KIND_WOOD_TYPE, Weight: &pb.Weight{MassKg: proto.Float64(10)}}, false, false},
	} {
		got := paper(t, Input{Shop: shop, Lots: []*pb.Lot{c.lot}})
		if strings.Contains(got, "Lead and dust") != c.lead || strings.Contains(got, "A press can kill") != c.rigger {
			t.Errorf("%s:\n%s", name, got)
		}
	}
}

// Every lot is on the paper, once, whatever is known of it, and the paper can be
// printed: no line is longer than its columns, but for a word that is.
func TestEveryLotIsOnThePaper(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.StringMatching(`[a-zé]{1,12}( [a-zé]{1,12}){0,30}`)
		in := Input{Shop: &pb.Shop{Title: words.Draw(t, "shop")}, Units: rapid.SampledFrom([]trade.Units{trade.US, trade.Metric}).Draw(t, "units")}
		for i := range rapid.IntRange(0, 8).Draw(t, "lots") {
			in.Lots = append(in.Lots, &pb.Lot{
				Tag: fmt.Sprintf("TAG%d.", i), Title: words.Draw(t, "title"), Kind: pb.Kind(rapid.Int32Range(1, 13).Draw(t, "kind")),
				ConditionNote: words.Draw(t, "note"), Parts: &pb.Parts{Missing: rapid.SliceOfN(words, 0, 3).Draw(t, "missing")},
			})
		}
		text := paper(t, in)
		for i := range in.Lots {
			if n := strings.Count(text, fmt.Sprintf("Tag TAG%d.:", i)); n != 1 {
				t.Errorf("lot %d is there %d times", i, n)
			}
		}
		for _, line := range strings.Split(text, "\n") {
			if len([]rune(line)) > textColumns {
				t.Errorf("%d columns: %s", len([]rune(line)), line)
			}
		}
		if text != paper(t, in) {
			t.Error("the same input gives another paper")
		}
	})
}
