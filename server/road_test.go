package server_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"testing"

	"google.golang.org/grpc/codes"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/server"
	"heirpress/server/routing"
)

// routedBy is a registry whose operator has a routing service that answers so.
func routedBy(t *testing.T, answer string) pb.RoadServiceClient {
	t.Helper()
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, answer) }))
	t.Cleanup(s.Close)
	service, err := routing.New(s.URL + "/{fromLng},{fromLat};{toLng},{toLat}")
	if err != nil {
		t.Fatal(err)
	}
	r := openWith(t, server.Config{Dir: t.TempDir(), Routing: service})
	return pb.NewRoadServiceClient(r.conn)
}

func TestMeasureRoad(t *testing.T) {
	const routed = `{"routes":[{"distance":412345}]}`
	dayton, _ := place.Find("Dayton, OH")
	pittsburgh, _ := place.Find("Pittsburgh, PA")
	estimate := place.RoadKm(dayton.Point, pittsburgh.Point)
	tests := []struct {
		name, answer, to string
		km, low          *float64
		basis            pb.RoadBasis
	}{
		{"routed", routed, "Pittsburgh, PA", new(412.345), new(412.345), pb.RoadBasis_ROAD_BASIS_ROUTED},
		{"garbage", "<html>", "Pittsburgh, PA", &estimate.Km, &estimate.LowKm, pb.RoadBasis_ROAD_BASIS_ESTIMATED},
		{"no road", routed, "London, England", nil, nil, pb.RoadBasis_ROAD_BASIS_ESTIMATED},
		{"one town", routed, "Dayton, OH", new(0.0), new(0.0), pb.RoadBasis_ROAD_BASIS_ESTIMATED},
	}
	for _, test := range tests {
		got, err := routedBy(t, test.answer).MeasureRoad(t.Context(), &pb.MeasureRoadRequest{From: "dayton ohio", To: test.to})
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		same := func(a, b *float64) bool { return a == nil && b == nil || a != nil && b != nil && *a == *b }
		if !same(got.RoadKm, test.km) || !same(got.RoadKmLow, test.low) || got.GetBasis() != test.basis || got.GetFrom().GetLabel() != "Dayton, OH" {
			t.Errorf("%s: %v", test.name, got)
		}
	}
}

func TestMeasureRoadRefuses(t *testing.T) {
	roads := pb.NewRoadServiceClient(open(t).conn)
	for _, bad := range []*pb.MeasureRoadRequest{{}, {From: "Dayton, OH"}, {From: "Springfield", To: "Dayton, OH"}, {From: "Dayton, OH", To: "Xyzzyville"}} {
		_, err := roads.MeasureRoad(t.Context(), bad)
		refused(t, err, codes.InvalidArgument, server.ReasonInvalid)
	}
}
