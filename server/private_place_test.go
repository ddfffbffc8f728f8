package server_test

import (
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
	"heirpress/server/private"
)

func cottage(name string) *pb.PrivatePlace {
	return &pb.PrivatePlace{
		Name: name, Person: "Odile Marrowby", Address: "41 Quince Lane\nback door", Phone: "+1 555 0134",
		Email: "odile@example.org", Note: "ring twice", Point: &pb.PrivatePoint{Latitude: 39.76123, Longitude: -84.19871},
	}
}

// Who may do what with a private place: its keeper and go-betweens, and for an
// account itself. Nobody else, the operator neither.
func TestPrivatePlacesAreForTheirOwn(t *testing.T) {
	r := openTrusted(t)
	keeper, goBetween, stranger := r.person(t, "Odile"), r.person(t, "Ines"), r.person(t, "Sam")
	shop := r.shopOf(t, keeper, "Marrowby", "Dayton, OH")
	r.goBetween(t, keeper, shop, goBetween)
	name := private.NameOf(shop.GetName())
	get := func(as person) (*pb.PrivatePlace, error) {
		got, err := r.private.GetPrivatePlace(as.as(t.Context()), &pb.GetPrivatePlaceRequest{Name: name})
		return got.GetPrivatePlace(), err
	}
	_, err := get(keeper)
	refused(t, err, codes.NotFound, server.ReasonNotFound)
	well(t, r.private.SetPrivatePlace, goBetween, &pb.SetPrivatePlaceRequest{PrivatePlace: cottage(name)})
	for _, p := range []person{keeper, goBetween} {
		got, err := get(p)
		if err != nil || got.GetAddress() != cottage(name).GetAddress() || !proto.Equal(got.GetPoint(), cottage(name).GetPoint()) || got.GetUpdateTime() == nil {
			t.Errorf("%s: got %v, %v", p.name, got, err)
		}
	}
	_, err = get(stranger)
	refused(t, err, codes.NotFound, server.ReasonNotFound)
	_, err = get(r.operator)
	refused(t, err, codes.PermissionDenied, server.ReasonDenied)
	_, err = get(nobody)
	refused(t, err, codes.Unauthenticated, server.ReasonTokenNeeded)
	r.lotOf(t, keeper, shop, platen("P1")) // now the shop is shown
	_, err = get(stranger)
	refused(t, err, codes.PermissionDenied, server.ReasonDenied)
	for _, p := range []person{stranger, r.operator} {
		refused(t, refusal(t, r.private.SetPrivatePlace, p, &pb.SetPrivatePlaceRequest{PrivatePlace: cottage(name)}), codes.PermissionDenied, server.ReasonDenied)
		refused(t, refusal(t, r.private.DeletePrivatePlace, p, &pb.DeletePrivatePlaceRequest{Name: name}), codes.PermissionDenied, server.ReasonDenied)
	}
	well(t, r.private.DeletePrivatePlace, keeper, &pb.DeletePrivatePlaceRequest{Name: name})
	well(t, r.private.DeletePrivatePlace, keeper, &pb.DeletePrivatePlaceRequest{Name: name})
	_, err = get(keeper)
	refused(t, err, codes.NotFound, server.ReasonNotFound)
}

// An account's own place is "me", and its town is looked up; to others it is not
// there.
func TestAnAccountsPrivatePlace(t *testing.T) {
	r := openTrusted(t)
	sam, other := r.person(t, "Sam"), r.person(t, "Toni")
	mine := cottage("accounts/me/privatePlace")
	mine.Place = "45402"
	set := well(t, r.private.SetPrivatePlace, sam, &pb.SetPrivatePlaceRequest{PrivatePlace: mine}).GetPrivatePlace()
	if set.GetName() != sam.name+"/privatePlace" || set.GetTown().GetLabel() != "Dayton, OH" || set.GetPlace() != "Dayton, OH" {
		t.Errorf("set %v", set)
	}
	got := well(t, r.private.GetPrivatePlace, sam, &pb.GetPrivatePlaceRequest{Name: "accounts/me/privatePlace"}).GetPrivatePlace()
	if !proto.Equal(got, set) {
		t.Errorf("got %v, set %v", got, set)
	}
	for _, p := range []person{other, r.operator} {
		refused(t, refusal(t, r.private.GetPrivatePlace, p, &pb.GetPrivatePlaceRequest{Name: set.GetName()}), codes.NotFound, server.ReasonNotFound)
	}
}

func TestPrivatePlacesThatAreWrong(t *testing.T) {
	r := openTrusted(t)
	keeper := r.person(t, "Odile")
	shop := r.shopOf(t, keeper, "Marrowby", "Dayton, OH")
	for field, change := range map[string]func(*pb.PrivatePlace){
		"private_place.person":  func(p *pb.PrivatePlace) { p.Person = strings.Repeat("x", 201) },
		"private_place.address": func(p *pb.PrivatePlace) { p.Address = strings.Repeat("x", 1001) },
		"private_place.phone":   func(p *pb.PrivatePlace) { p.Phone = strings.Repeat("1", 51) },
		"private_place.email":   func(p *pb.PrivatePlace) { p.Email = "Odile <odile@example.org>" },
		"private_place.note":    func(p *pb.PrivatePlace) { p.Note = strings.Repeat("x", 2001) },
		"private_place.point":   func(p *pb.PrivatePlace) { p.Point.Latitude = 91.5 },
		"private_place.place":   func(p *pb.PrivatePlace) { p.Place = "Leeds, England" },
		"name":                  func(p *pb.PrivatePlace) { p.Name = "lots/a" },
	} {
		p := cottage(private.NameOf(shop.GetName()))
		change(p)
		fields := refused(t, refusal(t, r.private.SetPrivatePlace, keeper, &pb.SetPrivatePlaceRequest{PrivatePlace: p}), codes.InvalidArgument, server.ReasonInvalid)
		if fields[field] == "" || len(fields) != 1 || strings.Contains(fields[field], "91.5") {
			t.Errorf("%s: got %v", field, fields)
		}
	}
}

// A registry without keys says so.
func TestWithoutKeysNoPrivatePlaces(t *testing.T) {
	r := open(t)
	_, err := pb.NewPrivatePlaceServiceClient(r.conn).GetPrivatePlace(t.Context(), &pb.GetPrivatePlaceRequest{Name: "shops/a/privatePlace"})
	refused(t, err, codes.FailedPrecondition, server.ReasonNoPrivateKey)
}

// A hamlet, a ZIP code and coordinates are not kept where there are strangers: only
// a town of some size is.
func TestSmallPlacesAreWidened(t *testing.T) {
	r := openTrusted(t)
	keeper := r.person(t, "Odile")
	for i, c := range []struct{ typed, place, town string }{
		{"Dayton, OH", "Dayton, OH", "Dayton, OH"},
		{"45402", "Dayton, OH", "Dayton, OH"},
		{"39.7612,-84.1977", "Dayton, OH", "Dayton, OH"},
		{"Dayton, OH (39.7612,-84.1977)", "Dayton, OH", "Dayton, OH"},
		{"Casstown, OH", "Troy, OH", "Troy, OH"},
	} {
		shop := r.shopOf(t, keeper, "Shop "+string(rune('A'+i)), c.typed)
		if shop.GetPlace() != c.place || shop.GetTown().GetLabel() != c.town {
			t.Errorf("%s: kept %q, %s", c.typed, shop.GetPlace(), shop.GetTown().GetLabel())
		}
	}
}
