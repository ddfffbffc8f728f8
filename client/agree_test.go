package client

import (
	"testing"

	"google.golang.org/protobuf/proto"
)

// The fit that a seeker computes is the fit that the server's alert carries, to
// the last bit.
func TestScoresAreTheSameOnBothSides(t *testing.T) {
	c, err := Connect(t.Context(), Options{Dir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	job, err := ReadSheet("../testdata/demo/marrowby.yaml", nil, "USD")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.PostSheet(t.Context(), job, nil); err != nil {
		t.Fatal(err)
	}
	list, err := ReadWanted("../testdata/demo/poster-shop.yaml", "USD")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.Lodge(t.Context(), list, nil); err != nil {
		t.Fatal(err)
	}
	fits, err := c.Score(t.Context(), list)
	if err != nil {
		t.Fatal(err)
	}
	alerts, err := c.AllAlerts(t.Context(), false)
	if err != nil || len(alerts) != len(fits) || len(fits) < 3 {
		t.Fatalf("%d alerts and %d fits, %v", len(alerts), len(fits), err)
	}
	told := map[string]proto.Message{}
	for _, a := range alerts {
		told[a.GetWant()+" "+a.GetLot().GetName()] = a.GetFit()
	}
	for _, f := range fits {
		if key := f.Want.GetId() + " " + f.Lot.GetName(); !proto.Equal(told[key], f.Fit) {
			t.Errorf("%s: here %v\nthere %v", key, f.Fit, told[key])
		}
	}
}
