package server_test

import (
	"context"
	"errors"
	"net"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/status"
	"google.golang.org/grpc/test/bufconn"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

// A registry under test, and a client's connection to it.
type rig struct {
	registry   *server.Registry
	dir        string
	conn       *grpc.ClientConn
	shops      pb.ShopServiceClient
	lots       pb.LotServiceClient
	search     pb.SearchServiceClient
	wants      pb.WantServiceClient
	alerts     pb.AlertServiceClient
	deliveries pb.DeliveryServiceClient
	photos     pb.PhotoServiceClient
	stop       func()
}

func open(t *testing.T) *rig { return openIn(t, t.TempDir()) }

func openIn(t *testing.T, dir string) *rig { return openWith(t, server.Config{Dir: dir}) }

func openWith(t *testing.T, c server.Config) *rig {
	t.Helper()
	r, err := server.Open(t.Context(), c)
	if err != nil {
		t.Fatal(err)
	}
	pipe := bufconn.Listen(1 << 20)
	s := server.NewGRPC(r)
	go s.Serve(pipe)
	conn, err := grpc.NewClient("passthrough:///test",
		grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return pipe.DialContext(ctx) }))
	if err != nil {
		t.Fatal(err)
	}
	stopped := false
	stop := func() {
		if stopped {
			return
		}
		stopped = true
		conn.Close()
		s.Stop()
		if err := r.Close(); err != nil {
			t.Error(err)
		}
	}
	t.Cleanup(stop)
	return &rig{
		registry: r,
		dir:      c.Dir, conn: conn, stop: stop,
		shops: pb.NewShopServiceClient(conn), lots: pb.NewLotServiceClient(conn),
		search: pb.NewSearchServiceClient(conn), wants: pb.NewWantServiceClient(conn), alerts: pb.NewAlertServiceClient(conn),
		deliveries: pb.NewDeliveryServiceClient(conn), photos: pb.NewPhotoServiceClient(conn),
	}
}

func (r *rig) shop(t *testing.T, title, place string) *pb.Shop {
	t.Helper()
	made, err := r.shops.CreateShop(t.Context(), &pb.CreateShopRequest{Shop: &pb.Shop{Title: title, Place: place}})
	if err != nil {
		t.Fatal(err)
	}
	return made.GetShop()
}

func (r *rig) lot(t *testing.T, shop *pb.Shop, l *pb.Lot) (*pb.Lot, uint64) {
	t.Helper()
	made, err := r.lots.CreateLot(t.Context(), &pb.CreateLotRequest{Parent: shop.GetName(), Lot: l})
	if err != nil {
		t.Fatal(err)
	}
	return made.GetLot(), made.GetChange()
}

func (r *rig) find(t *testing.T, f *pb.LotFilter, change uint64) []string {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
	defer cancel()
	got, err := r.search.SearchLots(ctx, &pb.SearchLotsRequest{Filter: f, AtLeastChange: change, PageSize: 1000})
	if err != nil {
		t.Fatal(err)
	}
	var tags []string
	for _, h := range got.GetHits() {
		tags = append(tags, h.GetLot().GetTag())
	}
	return tags
}

func (r *rig) inbox(t *testing.T, change uint64) []*pb.Alert {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
	defer cancel()
	got, err := r.alerts.ListAlerts(ctx, &pb.ListAlertsRequest{AtLeastChange: change, PageSize: 1000})
	if err != nil {
		t.Fatal(err)
	}
	return got.GetAlerts()
}

func platen(tag string) *pb.Lot {
	return &pb.Lot{Tag: tag, Title: "Halvorsen platen jobber, 10x15", Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_PLATEN_JOBBER}
}

// refused checks that an error has a code and a reason, and returns the fields
// it names.
func refused(t *testing.T, err error, code codes.Code, reason string) map[string]string {
	t.Helper()
	if status.Code(err) != code {
		t.Fatalf("got %v, want code %v", err, code)
	}
	fields := map[string]string{}
	got := ""
	for _, d := range status.Convert(err).Details() {
		switch d := d.(type) {
		case *errdetails.ErrorInfo:
			got = d.GetReason()
			if d.GetDomain() != server.Domain {
				t.Errorf("domain %q", d.GetDomain())
			}
		case *errdetails.BadRequest:
			for _, v := range d.GetFieldViolations() {
				fields[v.GetField()] = v.GetDescription()
			}
		}
	}
	if got != reason {
		t.Errorf("reason %q, want %q", got, reason)
	}
	return fields
}

func codeOf(err error) codes.Code { return status.Code(err) }

func asBusy(err error, busy **server.BusyError) bool { return errors.As(err, busy) }
