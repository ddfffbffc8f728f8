package server_test

import (
	"bytes"
	"flag"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/server/private"
)

var moves = flag.Int("moves", 200, "how often TestMovingThePrivatePointChangesNothing moves it")

// estate is a shop with a private place, and a few lots, among others.
func estate(t *testing.T, r *trusted) (keeper person, shop *pb.Shop) {
	t.Helper()
	keeper = r.person(t, "Odile")
	shop = r.shopOf(t, keeper, "Marrowby", "Dayton, OH")
	for _, tag := range []string{"P1", "P2", "P3"} {
		l := platen(tag)
		l.Weight = &pb.Weight{MassKg: proto.Float64(400)}
		l.Price = &pb.Money{CurrencyCode: "USD", Units: 900}
		r.lotOf(t, keeper, shop, l)
	}
	for title, town := range map[string]string{"Brack": "Troy, OH", "Corr": "Xenia, OH", "Dell": "Leeds, England"} {
		r.lotOf(t, keeper, r.shopOf(t, keeper, title, town), platen("Q1"))
	}
	return keeper, shop
}

// searches are one for every order and every part of a filter.
func searches(shop *pb.Shop, from place.Point, withinKm float64) []*pb.SearchLotsRequest {
	near := &pb.Near{Point: &pb.Point{Latitude: from.Lat, Longitude: from.Lng}}
	within := &pb.Near{Point: near.GetPoint(), WithinRoadKm: &withinKm}
	var all []*pb.SearchLotsRequest
	for _, f := range []*pb.LotFilter{
		{}, {Words: "platen"}, {Near: near}, {Near: within}, {Kinds: []pb.Kind{pb.Kind_KIND_PRESS}, Near: within},
		{Classes: []pb.Class{pb.Class_CLASS_PLATEN_JOBBER}}, {Sheet: &pb.Rectangle{WidthMm: 200, HeightMm: 300}, Near: near},
		{MaxMassKg: proto.Float64(500), KnownOnly: true}, {MaxPrice: &pb.Money{CurrencyCode: "USD", Units: 1000}},
		{States: []pb.LotState{pb.LotState_LOT_STATE_OFFERED}}, {Shop: shop.GetName(), Near: within}, {Regions: []string{"US/OH"}},
	} {
		for order := range pb.LotOrder(len(pb.LotOrder_name)) {
			if order == pb.LotOrder_LOT_ORDER_NEAREST && f.GetNear() == nil {
				continue
			}
			all = append(all, &pb.SearchLotsRequest{Filter: f, Order: order, Facets: true, Suggest: true, Highlights: true, PageSize: 3})
		}
	}
	return all
}

// public is every byte that a seeker, and a caller without a token, are answered.
func (r *trusted) public(t *testing.T, seeker person, shop *pb.Shop, from place.Point, withinKm float64) []byte {
	t.Helper()
	var all bytes.Buffer
	note := func(m proto.Message) {
		b, err := proto.MarshalOptions{Deterministic: true}.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		all.Write(b)
	}
	for _, as := range []person{seeker, nobody} {
		note(well(t, r.shops.GetShop, as, &pb.GetShopRequest{Name: shop.GetName()}))
		note(well(t, r.shops.ListShops, as, &pb.ListShopsRequest{}))
		note(well(t, r.lots.ListLots, as, &pb.ListLotsRequest{Parent: shop.GetName()}))
		note(well(t, r.lots.GetLot, as, &pb.GetLotRequest{Name: shop.GetName() + "/lots/p1"}))
	}
	for _, req := range searches(shop, from, withinKm) {
		got := well(t, r.search.SearchLots, seeker, req)
		got.Change = 0 // it counts every write, whatever of
		note(got)
	}
	note(well(t, r.alerts.ListAlerts, seeker, &pb.ListAlertsRequest{}))
	return all.Bytes()
}

// around is a point within some kilometres of another.
func around(chance *rand.Rand, p place.Point, km float64) place.Point {
	angle, off := chance.Float64()*2*math.Pi, km*math.Sqrt(chance.Float64())/111
	return place.Point{Lat: p.Lat + off*math.Sin(angle), Lng: p.Lng + off*math.Cos(angle)/math.Cos(p.Lat*math.Pi/180)}
}

// Moving the private point changes no byte of any public answer.
func TestMovingThePrivatePointChangesNothing(t *testing.T) {
	r := openTrusted(t)
	keeper, shop := estate(t, r)
	seeker := r.person(t, "Sam")
	lodged := well(t, r.wants.CreateWantedList, seeker, &pb.CreateWantedListRequest{WantedList: &pb.WantedList{
		Title: "Presses", Place: "Toledo, OH", Wants: []*pb.Want{{Title: "a platen", Filter: &pb.LotFilter{Words: "platen", Near: &pb.Near{Place: "Toledo, OH"}}}},
	}}).GetChange()
	well(t, r.alerts.ListAlerts, seeker, &pb.ListAlertsRequest{AtLeastChange: lodged})
	well(t, r.search.SearchLots, seeker, &pb.SearchLotsRequest{AtLeastChange: lodged})
	town := place.Point{Lat: shop.GetTown().GetPoint().GetLatitude(), Lng: shop.GetTown().GetPoint().GetLongitude()}
	chance := rand.New(rand.NewPCG(1, uint64(*moves)))
	from := around(chance, town, 50)
	within := place.GreatCircleKm(from, town)
	var before []byte
	for i := range *moves {
		house := around(chance, town, 60)
		p := cottage(private.NameOf(shop.GetName()))
		p.Point = &pb.PrivatePoint{Latitude: house.Lat, Longitude: house.Lng}
		well(t, r.private.SetPrivatePlace, keeper, &pb.SetPrivatePlaceRequest{PrivatePlace: p})
		if i%50 == 0 { // look from somewhere else
			from = around(chance, town, 50)
			within = place.GreatCircleKm(from, town) * (1 + chance.Float64()/2)
			before = r.public(t, seeker, shop, from, within)
			continue
		}
		if after := r.public(t, seeker, shop, from, within); !bytes.Equal(before, after) {
			t.Fatalf("move %d, to %v, changed what is answered", i, house)
		}
	}
}

// Who asks from a thousand places how far it is, in every order, gets the town's
// point and nothing nearer to the house.
func TestAThousandOriginsFindTheTownAndNotTheHouse(t *testing.T) {
	r := openTrusted(t)
	keeper, shop := estate(t, r)
	seeker := r.person(t, "Sam")
	town := place.Point{Lat: shop.GetTown().GetPoint().GetLatitude(), Lng: shop.GetTown().GetPoint().GetLongitude()}
	house := place.Point{Lat: town.Lat + 0.061, Lng: town.Lng - 0.083} // some 10 km off
	p := cottage(private.NameOf(shop.GetName()))
	p.Point = &pb.PrivatePoint{Latitude: house.Lat, Longitude: house.Lng}
	well(t, r.private.SetPrivatePlace, keeper, &pb.SetPrivatePlaceRequest{PrivatePlace: p})
	chance := rand.New(rand.NewPCG(3, 3))
	var asked []sighting
	for range 1000 {
		from := around(chance, town, 40)
		for _, order := range []pb.LotOrder{pb.LotOrder_LOT_ORDER_NEAREST, pb.LotOrder_LOT_ORDER_BEST, pb.LotOrder_LOT_ORDER_NEWEST} {
			got := well(t, r.search.SearchLots, seeker, &pb.SearchLotsRequest{
				Filter: &pb.LotFilter{Shop: shop.GetName(), Near: &pb.Near{Point: &pb.Point{Latitude: from.Lat, Longitude: from.Lng}}}, Order: order,
			})
			asked = append(asked, sighting{place.From(from), got.GetHits()[0].GetRoadMiles()})
		}
	}
	atTown, atHouse := misfit(asked, town), misfit(asked, house)
	if atTown > 1e-6 || atHouse < 1 {
		t.Errorf("the answers miss the town by %v miles and the house by %v: they should fit the town exactly", atTown, atHouse)
	}
	best := leastMisfit(asked, town, 20)
	off := place.GreatCircleKm(best, house)
	if least := place.GreatCircleKm(town, house) - 1.5; off < least {
		t.Errorf("the best guess is %.1f km from the house, the town %.1f", off, least)
	}
}

// sighting is how far something was said to be from somewhere.
type sighting struct {
	from  *place.Origin
	miles float64
}

// misfit is by how many miles answers differ, at the root of their mean square,
// from those that a point would give.
func misfit(asked []sighting, p place.Point) float64 {
	var sum float64
	for _, s := range asked {
		miles, _, _ := s.from.Road(p).Miles()
		sum += (*miles - s.miles) * (*miles - s.miles)
	}
	return math.Sqrt(sum / float64(len(asked)))
}

// leastMisfit is the point of a grid of a kilometre about the middle that fits the
// answers best.
func leastMisfit(asked []sighting, middle place.Point, km int) (best place.Point) {
	least := math.Inf(1)
	some := asked[:min(len(asked), 150)]
	for y := -km; y <= km; y++ {
		for x := -km; x <= km; x++ {
			p := place.Point{Lat: middle.Lat + float64(y)/111, Lng: middle.Lng + float64(x)/111/math.Cos(middle.Lat*math.Pi/180)}
			if m := misfit(some, p); m < least {
				best, least = p, m
			}
		}
	}
	return best
}

// mayTouchPrivate are the files outside the contract's own and tests that may name
// anything private: those that keep it, and those that show it to the people it
// belongs to. The name of the collection is not among what is private.
var mayTouchPrivate = []string{
	"server/private/", "server/private_place.go", "server/introductions.go", "server/answer.go", "server/registry.go", "server/heirpressd/", "client/client.go", "client/contact.go", "client/heirpress/contact.go", "proto/",
}

// Nothing that reckons with where things are, or tells of them, names a private
// place or point, or imports the package that keeps them.
func TestThePrivatePointReachesNothing(t *testing.T) {
	root := filepath.Join("..")
	seen := 0
	err := filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		rel := filepath.ToSlash(strings.TrimPrefix(path, root+string(filepath.Separator)))
		for _, may := range mayTouchPrivate {
			if strings.HasPrefix(rel, may) {
				return nil
			}
		}
		seen++
		for _, named := range privateNames(t, path) {
			t.Errorf("%s names %s", rel, named)
		}
		return nil
	})
	if err != nil || seen < 100 {
		t.Errorf("looked at %d files: %v", seen, err)
	}
}

// privateNames are the names in a file that are of private things.
func privateNames(t *testing.T, path string) (names []string) {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(text, []byte("rivate")) {
		return nil
	}
	file, err := parser.ParseFile(token.NewFileSet(), path, text, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, i := range file.Imports {
		if strings.Trim(i.Path.Value, `"`) == "heirpress/server/private" {
			names = append(names, i.Path.Value)
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		if id, is := n.(*ast.Ident); is && id.Name != "PrivatePlaces" && (strings.Contains(id.Name, "PrivatePlace") || strings.Contains(id.Name, "PrivatePoint")) {
			names = append(names, id.Name)
		}
		return true
	})
	return names
}
