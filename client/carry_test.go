package client

import (
	"context"
	"fmt"
	"slices"
	"testing"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/fieldmaskpb"

	pb "heirpress/proto/heirpress/v1"
)

// cutting is a connection to a server that breaks at the n-th write of all: just
// before it is sent, or just before its answer is heard.
type cutting struct {
	at    int
	after bool
	n     int
}

var writes = []string{
	pb.ShopService_CreateShop_FullMethodName, pb.ShopService_UpdateShop_FullMethodName,
	pb.LotService_BatchCreateLots_FullMethodName, pb.LotService_UpdateLot_FullMethodName,
}

func (k *cutting) call(ctx context.Context, method string, req, answer any, conn *grpc.ClientConn, call grpc.UnaryInvoker, with ...grpc.CallOption) error {
	if !slices.Contains(writes, method) {
		return call(ctx, method, req, answer, conn, with...)
	}
	k.n++
	if k.n == k.at && !k.after {
		return status.Error(codes.Unavailable, "cut before it was sent")
	}
	err := call(ctx, method, req, answer, conn, with...)
	if k.n == k.at && err == nil {
		return status.Error(codes.Unavailable, "cut before the answer was heard")
	}
	return err
}

func (k *cutting) connect(t *testing.T, address string) *Client {
	t.Helper()
	conn, err := grpc.NewClient(address, grpc.WithTransportCredentials(insecure.NewCredentials()), grpc.WithUnaryInterceptor(k.call))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	return over(conn, conn.Close)
}

// laptop is a registry of one's own, with the notes of what was carried from it.
type laptop struct {
	*Client
	notes *CarryNotes
	shop  *pb.Shop
}

func newLaptop(t *testing.T) *laptop {
	t.Helper()
	dir := t.TempDir()
	c, err := Connect(t.Context(), Options{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	notes, err := OpenCarryNotes(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { notes.Close(); c.Close() })
	l := &laptop{Client: c, notes: notes}
	var lots []*pb.Lot
	for i := range carryBatch + 20 {
		lots = append(lots, &pb.Lot{Tag: fmt.Sprint(i), Title: fmt.Sprint("Thing ", i)})
	}
	report, err := c.Post(t.Context(), &pb.Shop{Title: "The attic", Place: "Dayton, OH"}, lots, nil)
	if err != nil {
		t.Fatal(err)
	}
	l.shop = report.Shop
	l.edit(t, "1", &pb.Lot{State: pb.LotState_LOT_STATE_PROMISED}, "state")
	l.edit(t, "2", &pb.Lot{State: pb.LotState_LOT_STATE_WITHDRAWN}, "state")
	return l
}

func (l *laptop) edit(t *testing.T, tag string, said *pb.Lot, fields ...string) {
	t.Helper()
	editLot(t, l.Client, l.shop.GetName(), tag, said, fields...)
}

func editLot(t *testing.T, c *Client, shop, tag string, said *pb.Lot, fields ...string) {
	t.Helper()
	there, err := c.lotsByTag(t.Context(), shop)
	if err != nil {
		t.Fatal(err)
	}
	said.Name = there[tag].GetName()
	_, err = c.Lots.UpdateLot(t.Context(), &pb.UpdateLotRequest{Lot: said, UpdateMask: &fieldmaskpb.FieldMask{Paths: fields}})
	if err != nil {
		t.Fatal(err)
	}
}

func (l *laptop) carry(t *testing.T, to *Client, address string) (*CarryReport, error) {
	t.Helper()
	got, err := l.Shops.GetShop(t.Context(), &pb.GetShopRequest{Name: l.shop.GetName()})
	if err != nil {
		t.Fatal(err)
	}
	return Carry(t.Context(), l.Client, to, l.notes, address, got.GetShop(), Show)
}

// there checks that a server has the shop as it is here, once, but for what is
// not to be had.
func (l *laptop) there(t *testing.T, to *Client) {
	t.Helper()
	shops, err := to.AllShops(t.Context())
	if err != nil || len(shops) != 1 {
		t.Fatalf("%d shops there (%v), want 1", len(shops), err)
	}
	mine, errA := l.lotsByTag(t.Context(), l.shop.GetName())
	theirs, errB := to.lotsByTag(t.Context(), shops[0].GetName())
	if errA != nil || errB != nil || len(theirs) != len(mine)-1 {
		t.Fatalf("%d lots there, of %d here and one that is not to be had (%v, %v)", len(theirs), len(mine), errA, errB)
	}
	for tag, one := range theirs {
		if differs := unlike(carriedLot(mine[tag]), carriedLot(one), carriedLotFields...).GetPaths(); len(differs) > 0 {
			t.Errorf("tag %s differs in %v", tag, differs)
		}
	}
}

// TestCarryCutOff breaks the connection at every write of a carry, before it is
// sent and before its answer is heard; here, lots are changed before it is taken
// up again. In the end all is there once, and there is no conflict.
func TestCarryCutOff(t *testing.T) {
	for at := 1; ; at++ {
		broke := false
		for _, after := range []bool{false, true} {
			l := newLaptop(t)
			address, stop := serve(t, t.TempDir(), "")
			k := &cutting{at: at, after: after}
			to := k.connect(t, address)
			_, err := l.carry(t, to, address)
			if err != nil && Code(err) != codes.Unavailable {
				t.Fatal(err)
			}
			broke = broke || err != nil
			l.edit(t, "1", &pb.Lot{Title: "Otherwise"}, "title")
			l.edit(t, "1", &pb.Lot{State: pb.LotState_LOT_STATE_OFFERED}, "state")
			l.edit(t, "219", &pb.Lot{Title: "Otherwise"}, "title")
			k = &cutting{at: at, after: after} // the changes are cut off as well
			if _, err := l.carry(t, k.connect(t, address), address); err != nil && Code(err) != codes.Unavailable {
				t.Fatal(err)
			}
			l.edit(t, "219", &pb.Lot{Title: "Otherwise again"}, "title")
			to = (&cutting{}).connect(t, address)
			report, err := l.carry(t, to, address)
			if err != nil || !report.Whole() {
				t.Fatalf("cut at write %d, heard %v: %v, %+v, %+v", at, !after, err, report.Conflict, report.Lots[1])
			}
			l.there(t, to)
			stop()
		}
		if !broke {
			break
		}
	}
}

// TestCarryIntoSeveral: what is carried to one server is carried to another too.
func TestCarryIntoSeveral(t *testing.T) {
	l := newLaptop(t)
	for range 2 {
		address, _ := serve(t, t.TempDir(), "")
		to := (&cutting{}).connect(t, address)
		for _, want := range []Outcome{Brought, Unchanged} {
			report, err := l.carry(t, to, address)
			if err != nil || report.Outcome != want {
				t.Fatalf("%v, %v, want %v", report, err, want)
			}
		}
		l.there(t, to)
	}
}

// TestCarryWithoutNotes: with the notes lost, what is there and says the same is
// known again, and what says otherwise is a conflict.
func TestCarryWithoutNotes(t *testing.T) {
	l := newLaptop(t)
	address, _ := serve(t, t.TempDir(), "")
	to := (&cutting{}).connect(t, address)
	if _, err := l.carry(t, to, address); err != nil {
		t.Fatal(err)
	}
	l.edit(t, "3", &pb.Lot{Title: "Otherwise"}, "title")
	report, err := Carry(t.Context(), l.Client, to, l.notes, "another name of it", l.shop, Show)
	if err != nil || report.Outcome != Unchanged || report.Count(Clash) != 1 || report.Count(Unchanged) != carryBatch+18 {
		t.Fatalf("%v, %d conflicts, %d as before, %v", report.Outcome, report.Count(Clash), report.Count(Unchanged), err)
	}
}

// TestCarryShopChanged: the shop itself is carried as its lots are.
func TestCarryShopChanged(t *testing.T) {
	l := newLaptop(t)
	address, _ := serve(t, t.TempDir(), "")
	to := (&cutting{}).connect(t, address)
	first, err := l.carry(t, to, address)
	if err != nil {
		t.Fatal(err)
	}
	story := func(c *Client, name, text string) {
		_, err := c.Shops.UpdateShop(t.Context(), &pb.UpdateShopRequest{
			Shop: &pb.Shop{Name: name, Story: text}, UpdateMask: &fieldmaskpb.FieldMask{Paths: []string{"story"}}})
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		here, there string
		want        Outcome
	}{
		{here: "Mine.", want: Changed}, {want: Unchanged}, {there: "Theirs.", want: Unchanged},
		{here: "Mine again.", want: Clash}, {here: "Theirs.", want: Unchanged}, {here: "Ours.", want: Changed},
	} {
		if c.here != "" {
			story(l.Client, l.shop.GetName(), c.here)
		}
		if c.there != "" {
			story(to, first.There, c.there)
		}
		report, err := l.carry(t, to, address)
		if err != nil || report.Outcome != c.want {
			t.Errorf("after %+v: %v, %v", c, report.Outcome, err)
		}
	}
}

// TestCarryRefused: lots that the server would not have keep none of the others
// out.
func TestCarryRefused(t *testing.T) {
	r := &CarryReport{}
	c := &carrier{report: r}
	batch := []*CarriedLot{{Lot: &pb.Lot{Tag: "a"}}, {Lot: &pb.Lot{Tag: "b"}}}
	rest := c.refuse(batch, problemAt(t, "lots[1].title", "is empty"))
	if len(rest) != 1 || rest[0] != batch[0] || batch[1].Outcome != Refused || batch[1].Problems[0] != (FieldProblem{"title", "is empty"}) {
		t.Errorf("left %v; %+v", rest, batch[1])
	}
	if rest := c.refuse(batch[:1], status.Error(codes.NotFound, "no such shop")); rest != nil || batch[0].Problems[0].Message == "" {
		t.Errorf("left %v; %+v", rest, batch[0])
	}
}

func problemAt(t *testing.T, field, message string) error {
	t.Helper()
	st, err := status.New(codes.InvalidArgument, message).WithDetails(&errdetails.BadRequest{
		FieldViolations: []*errdetails.BadRequest_FieldViolation{{Field: field, Description: message}}})
	if err != nil {
		t.Fatal(err)
	}
	return st.Err()
}
