package score

import (
	"bytes"
	"crypto/sha256"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
)

var (
	goldenWrite = flag.Bool("write-golden", false, "write testdata/fits.golden anew")
	goldenCases = flag.Int("golden-cases", 2000, "how many fits are compared; more than the file has are only written")
)

const goldenFile = "testdata/fits.golden"

// TestFitsAreAsTheyWere holds the fits of seeded lots and wants, whole and to the
// last bit, with their reasons and questions, against those on file. Who means to
// change a fit writes the file anew, and reads what has changed.
func TestFitsAreAsTheyWere(t *testing.T) {
	d := goldenDice{rand.New(rand.NewPCG(11, 5))}
	var now bytes.Buffer
	var fits []*pb.Fit
	for range *goldenCases {
		list, want, lot, road := d.list(), d.want(), d.lot(t), d.road()
		fit := Lot(list, want, lot, road)
		wire, err := proto.MarshalOptions{Deterministic: true}.Marshal(fit)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range candidates(Unasked(list, want, lot, road), list, want, lot, road) {
			wire = fmt.Appendf(wire, "%q %v %v %v", c.question, c.gain, c.moves, c.scores)
		}
		sum := sha256.Sum256(wire)
		fmt.Fprintf(&now, "%.2f %x\n", fit.GetScore(), sum[:6])
		fits = append(fits, fit)
	}
	if *goldenWrite {
		if err := os.WriteFile(goldenFile, now.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	before, err := os.ReadFile(goldenFile)
	if err != nil {
		t.Fatal(err)
	}
	was, is := bytes.Split(before, []byte("\n")), bytes.Split(now.Bytes(), []byte("\n"))
	if len(was) != len(is) {
		t.Fatalf("%d fits on file, %d now", len(was), len(is))
	}
	for i := range was {
		if !bytes.Equal(was[i], is[i]) {
			t.Fatalf("fit %d was %s and is %s:\n%s", i, was[i], is[i], protojson.Format(fits[i]))
		}
	}
}

// goldenDice makes wants and lots of every kind, of which much is not said.
type goldenDice struct{ *rand.Rand }

func (d goldenDice) chance(percent int) bool { return d.IntN(100) < percent }

func among[T any](d goldenDice, from ...T) T { return from[d.IntN(len(from))] }

// said is a figure up to a most, or, as often, none.
func (d goldenDice) said(most float64) *float64 {
	if d.chance(50) {
		return nil
	}
	return proto.Float64(float64(d.IntN(1000)) / 1000 * most)
}

func (d goldenDice) saidWhole(most int) *int32 {
	if d.chance(50) {
		return nil
	}
	return proto.Int32(int32(d.IntN(most + 1)))
}

func (d goldenDice) list() *pb.WantedList {
	l := &pb.WantedList{ReachRoadKm: d.said(2000)}
	if d.chance(70) {
		l.Kit = &pb.Kit{
			People: d.saidWhole(6), DollyKg: d.said(1000), PalletJackKg: d.said(2500), HoistKg: d.said(1000), LiftgateKg: d.said(1000),
			ForkliftKg: d.said(3000), VehiclePayloadKg: d.said(3000), DoorWidthMm: d.said(2500), Steps: d.saidWhole(20), FloorKgPerM2: d.said(2000),
		}
	}
	if d.chance(40) {
		l.Weights = &pb.FitWeights{Distance: d.said(10), Rigging: d.said(10), Completeness: d.said(10)}
	}
	return l
}

func (d goldenDice) want() *pb.Want {
	w := &pb.Want{TextToSet: among(d, "", "", "LANTERN FESTIVAL", "office 1926")}
	for d.chance(50) && len(w.MustHave) < 4 {
		w.MustHave = append(w.MustHave, among(d, goldenParts...))
	}
	return w
}

var goldenParts = []string{
	"rollers", "Rollers", "form-rollers", "flywheel", "Chases", "chase", "figures", "capitals", "K", "name plate", "ink disc", "treadle", "motor", "gripper bars",
	"tympan", "frisket", "drawers", "knife", "clamp", "back gauge", "stand", "cases", "moulds", "magazines", "é", "a thing, of brass (the maker's)",
}

func (d goldenDice) lot(t *testing.T) *pb.Lot {
	t.Helper()
	lot := &pb.Lot{Kind: among(d, trade.Kinds()...), Count: d.saidWhole(4), Condition: pb.Condition(d.IntN(5))}
	if classes := trade.ClassesOf(lot.Kind); len(classes) > 0 {
		lot.Class = among(d, append(slices.Clone(classes), 0)...)
	}
	lot.SizeAsWritten = among(d, append([]string{"", ""}, map[pb.Kind][]string{
		pb.Kind_KIND_PRESS: {"8x12", "9x13", "10x15", "12x18", "20x26", "5x8"}, pb.Kind_KIND_METAL_TYPE: {"12pt", "48pt"}, pb.Kind_KIND_WOOD_TYPE: {"12 line", "6 line"},
		pb.Kind_KIND_CUTTERS: {"26 in", "19 in"}, pb.Kind_KIND_STONES: {"24x36", "24x36x2"}, pb.Kind_KIND_CABINETS: {"24 cases", "48 cases"},
	}[lot.Kind]...)...)
	if err := trade.FillDetail(lot); err != nil {
		t.Fatal(err)
	}
	d.facts(lot)
	return lot
}

func (d goldenDice) facts(lot *pb.Lot) {
	if kg := d.said(3000); kg != nil {
		lot.Weight = &pb.Weight{MassKg: kg, Grounds: pb.Grounds(d.IntN(4))}
	}
	if p := lot.GetPress(); p != nil {
		p.HeaviestPieceKg, p.Drive = d.said(1000), pb.Drive(d.IntN(4))
	}
	if m := lot.GetMetalType(); m != nil {
		m.Scheme, m.Cases = among(d, "", "8A 10a", "20A 40a 20-1"), d.said(10)
	}
	if w := lot.GetWoodType(); w != nil {
		w.Scheme, w.Pieces = among(d, "", "3A", "4A 5a"), d.saidWhole(200)
	}
	if d.chance(40) {
		lot.Size = &pb.Size{WidthMm: d.said(3000), DepthMm: d.said(3000), HeightMm: d.said(2500)}
	}
	if d.chance(60) {
		lot.Parts = &pb.Parts{RestComplete: d.chance(30)}
		for d.chance(50) && len(lot.Parts.Missing) < 4 {
			lot.Parts.Missing = append(lot.Parts.Missing, among(d, goldenParts...))
		}
		for d.chance(50) && len(lot.Parts.OnHand) < 4 {
			lot.Parts.OnHand = append(lot.Parts.OnHand, among(d, goldenParts...))
		}
	}
	if d.chance(80) {
		lot.Town = &pb.Town{Label: "Dayton, OH"}
	}
}

func (d goldenDice) road() *place.Road {
	if d.chance(30) {
		return nil
	}
	km := float64(d.IntN(40_000)) / 10
	return &place.Road{Km: km, LowKm: km * .9, HighKm: km * 1.15, None: d.chance(5)}
}
