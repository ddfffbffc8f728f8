package server_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

// TestReady: a registry whose index was lost is ready once the index has all that
// the journal has, and not before.
func TestReady(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "A", "Dayton, OH")
	req := &pb.BatchCreateLotsRequest{Parent: shop.GetName()}
	for range 3000 {
		req.Lots = append(req.Lots, platen(string(rune(0x4e00+len(req.Lots)))))
	}
	made, err := r.lots.BatchCreateLots(t.Context(), req)
	if err != nil {
		t.Fatal(err)
	}
	r.stop()
	if err := os.RemoveAll(filepath.Join(r.dir, "index")); err != nil {
		t.Fatal(err)
	}
	again, err := server.Open(t.Context(), server.Config{Dir: r.dir})
	if err != nil {
		t.Fatal(err)
	}
	before := 0
	for until := time.Now().Add(time.Minute); !again.Ready(); before++ {
		if time.Now().After(until) {
			t.Fatal("it is never ready")
		}
		time.Sleep(time.Millisecond)
	}
	state, err := again.State(t.Context())
	if err != nil || !state.Ready || state.Index < made.GetChange() || state.Lots != 3000 || state.Shops != 1 {
		t.Errorf("ready with %+v, %v", state, err)
	}
	if before == 0 {
		t.Error("it was ready before there was an index")
	}
	if err := again.Close(); err != nil {
		t.Error(err)
	}
	if again.Ready() {
		t.Error("it is ready when it is closed")
	}
}
