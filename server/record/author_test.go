package record_test

import (
	"bytes"
	"testing"

	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
)

// Who wrote a record is kept beside the lot and not in it, and cannot be forged from
// within.
func TestAuthorIsBesideTheLot(t *testing.T) {
	lot := &pb.Lot{Tag: "P1", Title: "a press"}
	forged := protowire.AppendString(protowire.AppendTag(nil, 1000, protowire.BytesType), "accounts/eve")
	lot.ProtoReflect().SetUnknown(forged)
	for _, author := range []string{"accounts/ann", ""} {
		signed, err := record.Signed(lot, author)
		if err != nil {
			t.Fatal(err)
		}
		r := store.Record{Name: "shops/a/lots/p1", Body: signed}
		if got := record.Author(r); got != author {
			t.Errorf("signed by %q, and the author is %q", author, got)
		}
		got, err := record.Lot(r)
		if err != nil || got.GetTitle() != "a press" {
			t.Fatalf("got %v, %v", got, err)
		}
		if wire, err := proto.Marshal(got); err != nil || bytes.Contains(wire, []byte("accounts/")) {
			t.Errorf("a reader of the lot is told %q, %v", wire, err)
		}
	}
	if got := record.Author(store.Record{Body: body(t, &pb.Shop{Title: "Marrowby"})}); got != "" {
		t.Errorf("of a record from before, the author is %q", got)
	}
	if got := record.Author(store.Record{Body: []byte{0xff}}); got != "" {
		t.Errorf("of no message, the author is %q", got)
	}
}
