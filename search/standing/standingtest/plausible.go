// Package standingtest makes plausible wants and lots for benchmarks: seekers in
// real towns, as many as people live there, who ask for what printers ask for.
// The makers are invented. The same seed makes the same ones.
package standingtest

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
)

// Dice makes wants and lots. It is for one goroutine.
type Dice struct {
	*rand.Rand
	makes *rand.Zipf
	towns []*pb.Town
}

// New begins with a seed.
func New(seed uint64) *Dice {
	r := rand.New(rand.NewPCG(seed, 23))
	return &Dice{Rand: r, makes: rand.NewZipf(r, 1.3, 8, 599), towns: towns()}
}

func (d *Dice) chance(percent int) bool { return d.IntN(100) < percent }

func pick[T any](d *Dice, from ...T) T { return from[d.IntN(len(from))] }

// townNames are towns of the United States, Canada and Britain; a town stands as
// often as it has half a million people, and at least once.
const townNames = `New York, NY*16; Los Angeles, CA*8; Chicago, IL*5; Houston, TX*5; Phoenix, AZ*3; Philadelphia, PA*3; San Antonio, TX*3; San Diego, CA*3;
Dallas, TX*3; Austin, TX*2; Columbus, OH*2; Indianapolis, IN*2; Charlotte, NC*2; San Francisco, CA*2; Seattle, WA*2; Denver, CO; Boston, MA*2;
Nashville, TN; Detroit, MI; Portland, OR*2; Memphis, TN; Louisville, KY; Baltimore, MD; Milwaukee, WI; Albuquerque, NM; Kansas City, MO; Omaha, NE;
Minneapolis, MN*2; Cleveland, OH; New Orleans, LA; Tulsa, OK; Wichita, KS; Pittsburgh, PA; Cincinnati, OH; Toledo, OH; Buffalo, NY; Rochester, NY;
Dayton, OH; Ithaca, NY; Asheville, NC; Madison, WI; Iowa City, IA; Providence, RI; Burlington, VT; Missoula, MT; Boise, ID; Santa Fe, NM;
Athens, GA; Savannah, GA; Richmond, VA; Toronto, Ontario*5; Montreal, Quebec*3; Vancouver, British Columbia*2; Calgary, Alberta; Halifax, Nova Scotia;
London, England*16; Leeds, England; Manchester, England*2; Bristol, England; Edinburgh, Scotland; Glasgow, Scotland; Cardiff, Wales`

func towns() (all []*pb.Town) {
	for entry := range strings.SplitSeq(townNames, ";") {
		name, times, _ := strings.Cut(strings.TrimSpace(entry), "*")
		town, err := place.Find(name)
		if err != nil {
			panic(err) // A test looks every one of them up.
		}
		n := 1
		_, _ = fmt.Sscan(times, &n)
		for range n {
			all = append(all, town.Message())
		}
	}
	return all
}

// town is one of the towns, or a place up to some fifty miles round it.
func (d *Dice) town() *pb.Town {
	at := pick(d, d.towns...)
	p := at.GetPoint()
	near := place.Point{Lat: p.GetLatitude() + d.NormFloat64()*0.4, Lng: p.GetLongitude() + d.NormFloat64()*0.5}
	if d.chance(30) {
		return at
	}
	town, _ := place.Nearest(near)
	return town.Message()
}

var (
	heads = []string{"Hal", "Cor", "Brand", "Wes", "Tol", "Mar", "Ash", "Kel", "Dun", "Ost", "Ful", "Ren", "Sor", "Pel", "Gar", "Lin", "Vos", "Bex", "Thar", "Nor"}
	tails = []string{"vorsen", "wen", "row", "by", "tle", "ford", "mann", "ley", "wick", "dahl", "stead", "gard", "well", "more", "ton", "sen", "burn", "rick", "low", "ham", "bridge", "field", "worth", "lund", "berg", "strom", "holt", "cote", "den", "vale"}
)

// maker is one of six hundred invented makers, some far better known than others.
func (d *Dice) maker() string {
	n := int(d.makes.Uint64())
	return heads[n%len(heads)] + tails[n/len(heads)%len(tails)]
}

func (d *Dice) model() string {
	return pick(d, fmt.Sprintf("No. %d", 1+d.IntN(9)), fmt.Sprintf("%c%c%d", 'A'+d.IntN(26), 'A'+d.IntN(26), 1+d.IntN(30)), fmt.Sprintf("Model %c", 'A'+d.IntN(8)))
}

// thing is what a lot can be.
type thing struct {
	kind  pb.Kind
	class pb.Class
	words []string // what people call it
	kg    float64
}

var things = []thing{
	{pb.Kind_KIND_PRESS, pb.Class_CLASS_TABLETOP_PLATEN, []string{"tabletop platen", "tabletop press", "pilot press"}, 50},
	{pb.Kind_KIND_PRESS, pb.Class_CLASS_PLATEN_JOBBER, []string{"platen jobber", "treadle platen", "platen press", "jobber"}, 600},
	{pb.Kind_KIND_PRESS, pb.Class_CLASS_HAND_PRESS, []string{"iron hand press", "hand press"}, 900},
	{pb.Kind_KIND_PRESS, pb.Class_CLASS_GALLEY_PROOF_PRESS, []string{"galley proof press", "proof press"}, 150},
	{pb.Kind_KIND_PRESS, pb.Class_CLASS_CYLINDER_PROOF_PRESS, []string{"cylinder proof press", "cylinder press", "flatbed proof press"}, 1100},
	{pb.Kind_KIND_METAL_TYPE, 0, []string{"foundry type", "metal type", "fount", "script type", "ornate initials"}, 20},
	{pb.Kind_KIND_WOOD_TYPE, 0, []string{"wood type", "gothic wood type", "poster type", "tuscan wood type"}, 15},
	{pb.Kind_KIND_CUTS, 0, []string{"cuts", "engravings", "electros of ships", "zinc cuts"}, 10},
	{pb.Kind_KIND_ORNAMENTS, 0, []string{"ornaments", "borders", "brass rule"}, 8},
	{pb.Kind_KIND_SPACING, 0, []string{"leads and slugs", "furniture", "quads"}, 40},
	{pb.Kind_KIND_CABINETS, pb.Class_CLASS_TYPE_CABINET, []string{"type cabinet", "oak cabinet", "double cabinet"}, 200},
	{pb.Kind_KIND_STONES, pb.Class_CLASS_IMPOSING_STONE, []string{"imposing stone", "stone on a frame"}, 350},
	{pb.Kind_KIND_CUTTERS, pb.Class_CLASS_FLOOR_CUTTER, []string{"lever cutter", "guillotine", "paper cutter"}, 500},
	{pb.Kind_KIND_CASTERS, pb.Class_CLASS_LINE_CASTER, []string{"line caster"}, 1500},
	{pb.Kind_KIND_BINDERY, 0, []string{"nipping press", "board shears", "bindery tools"}, 120},
	{pb.Kind_KIND_TOOLS, 0, []string{"composing sticks", "quoins", "planer and mallet", "rollers"}, 5},
}

var sizes = []string{"8x12", "10x15", "12x18", "9x13", "7x11", "14x22", "24pt", "36pt", "12 line", "8 line"}

// Want is a typical want: a maker's model, or thing, or thing of a size, or any
// maker's thing of a size; and at times how dear and how heavy.
func (d *Dice) Want(id string) *pb.Want {
	t := pick(d, things...)
	f := &pb.LotFilter{}
	switch {
	case d.chance(35):
		f.Words = d.maker() + " " + d.model()
	case d.chance(45):
		f.Words = d.maker() + " " + pick(d, t.words...) + " " + pick(d, sizes...)
	case d.chance(60):
		f.Words = d.maker() + " " + pick(d, t.words...)
	default:
		f.Words = pick(d, t.words...) + " " + pick(d, sizes...)
	}
	if d.chance(50) {
		f.Kinds = []pb.Kind{t.kind}
	}
	d.limits(f, t)
	return d.want(id, t, f)
}

// Broad is a want without words: any press of a class, or of a kind, within a
// long drive.
func (d *Dice) Broad(id string) *pb.Want {
	t := pick(d, things...)
	f := &pb.LotFilter{Kinds: []pb.Kind{t.kind}}
	if t.class != 0 && d.chance(60) {
		f.Classes = []pb.Class{t.class}
	}
	d.limits(f, t)
	return d.want(id, t, f)
}

func (d *Dice) want(id string, t thing, f *pb.LotFilter) *pb.Want {
	w := &pb.Want{Id: id, Title: "A " + pick(d, t.words...), Filter: f, Importance: int32(d.IntN(6))}
	if t.kind == pb.Kind_KIND_PRESS && d.chance(20) {
		w.MustHave = []string{"chase", "rollers"}
	}
	return w
}

func (d *Dice) limits(f *pb.LotFilter, t thing) {
	if d.chance(40) {
		f.MaxPrice = &pb.Money{CurrencyCode: "USD", Units: int64(100 * (1 + d.IntN(40)))}
	}
	if d.chance(20) {
		kg := math.Round(t.kg * (0.5 + d.Float64()))
		f.MaxMassKg = &kg
	}
	if t.kind == pb.Kind_KIND_PRESS && d.chance(15) {
		f.Sheet = &pb.Rectangle{WidthMm: float64(150 + 25*d.IntN(10)), HeightMm: float64(200 + 25*d.IntN(12))}
	}
	f.KnownOnly = d.chance(10)
}

// List is a wanted list of so many typical wants, in a town, with a reach.
func (d *Dice) List(title string, wants int) *pb.WantedList {
	return d.list(title, wants, d.Want, 50, 100, 150, 200, 300, 500)
}

// MixedList is a wanted list of wants of which one in ten is broad.
func (d *Dice) MixedList(title string, wants int) *pb.WantedList {
	if d.chance(10) {
		return d.BroadList(title, wants)
	}
	return d.List(title, wants)
}

// BroadList is a wanted list of so many broad wants.
func (d *Dice) BroadList(title string, wants int) *pb.WantedList {
	return d.list(title, wants, d.Broad, 100, 200, 300)
}

func (d *Dice) list(title string, wants int, want func(string) *pb.Want, miles ...float64) *pb.WantedList {
	town, km := d.town(), pick(d, miles...)*place.KmPerMile
	l := &pb.WantedList{Title: title, Town: town, Place: town.GetLabel(), ReachRoadKm: &km}
	for i := range wants {
		l.Wants = append(l.Wants, want(fmt.Sprint("w", i)))
	}
	return l
}

const notes = `In the front room since the old shop closed; runs well by treadle. | Rollers want recasting, the flywheel is sound. |
With two chases, and the handbook. | Stored dry in the barn since 1988. | Belonged to my grandfather, who printed the county paper on it. |
Some wear, all sorts counted. | The drawer below holds spare parts. | Three phase motor, or take it off and treadle.`

// Lot is a lot as keepers write them.
func (d *Dice) Lot(name string) *pb.Lot {
	t := pick(d, things...)
	maker := d.maker()
	l := &pb.Lot{
		Name: name, Tag: fmt.Sprint("P", d.IntN(500)), Kind: t.kind, Class: t.class, Make: maker, Model: d.model(),
		Title:       strings.Join([]string{maker, pick(d, t.words...), pick(d, sizes...)}, " "),
		Description: strings.TrimSpace(pick(d, strings.Split(notes, "|")...) + " " + pick(d, strings.Split(notes, "|")...)),
		ShopTitle:   d.maker() + " Printing Company", Town: d.town(), State: pb.LotState_LOT_STATE_OFFERED,
	}
	if d.chance(70) {
		l.Price = &pb.Money{CurrencyCode: "USD", Units: int64(50 * (1 + d.IntN(80)))}
	}
	if d.chance(50) {
		kg := math.Round(t.kg * (0.7 + 0.6*d.Float64()))
		l.Weight = &pb.Weight{MassKg: &kg, Grounds: pb.Grounds_GROUNDS_STATED}
	}
	if t.kind == pb.Kind_KIND_PRESS {
		l.Detail = &pb.Lot_Press{Press: &pb.PressDetail{Chase: &pb.Rectangle{WidthMm: float64(150 + 25*d.IntN(10)), HeightMm: float64(200 + 25*d.IntN(12))}}}
	}
	return l
}
