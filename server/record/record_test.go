package record_test

import (
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
)

func body(t *testing.T, m proto.Message) []byte {
	t.Helper()
	b, err := record.Body(m)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A step that was written before its change number was known gets the number of
// the write that brought it, and later writes leave the number as it is.
func TestAStepGetsTheNumberOfItsWrite(t *testing.T) {
	offered, promised := pb.LotState_LOT_STATE_OFFERED, pb.LotState_LOT_STATE_PROMISED
	first, err := record.Lot(store.Record{Revision: 7, Body: body(t, &pb.Lot{History: []*pb.LotStep{{State: offered}}})})
	if err != nil {
		t.Fatal(err)
	}
	first.Title = "something else"
	second, err := record.Lot(store.Record{Revision: 9, Body: body(t, first)})
	if err != nil {
		t.Fatal(err)
	}
	second.History = append(second.History, &pb.LotStep{State: promised})
	third, err := record.Lot(store.Record{Revision: 12, Body: body(t, second)})
	if err != nil {
		t.Fatal(err)
	}
	if h := third.GetHistory(); len(h) != 2 || h[0].GetChange() != 7 || h[1].GetChange() != 12 {
		t.Errorf("history %v, want changes 7 and 12", h)
	}
	if third.GetRevision() != 12 || third.GetEtag() == second.GetEtag() {
		t.Errorf("revision %d, etag %q after %q", third.GetRevision(), third.GetEtag(), second.GetEtag())
	}
}

func TestABodyThatIsNoMessage(t *testing.T) {
	r := store.Record{Name: "shops/a", Revision: 3, Body: []byte{0xff}}
	for name, err := range map[string]error{
		"shop":        second(record.Shop(r)),
		"lot":         second(record.Lot(r)),
		"wanted list": second(record.WantedList(r)),
		"alert":       second(record.Alert(r)),
	} {
		if err == nil || !strings.Contains(err.Error(), "shops/a at change 3") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func second[T any](_ T, err error) error { return err }
