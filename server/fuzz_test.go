package server_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"
	"google.golang.org/protobuf/types/dynamicpb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
	"heirpress/server/access"
)

// planted are texts that are nobody's business, and that a search for secrets finds.
const (
	plantedEmail  = "planted.address@example.org"
	plantedSecret = "planted-webhook-secret-0123456789"
)

// A target is a registry with accounts, somebody of each relation, one thing of each
// kind, and what must never be told of them.
type target struct {
	*world
	log     lines
	callers []somebody
	names   []string // of things that there are
	secrets []string
	methods []protoreflect.MethodDescriptor
}

func newTarget(t testing.TB) *target {
	g := new(target)
	g.world, _ = serveAccounts(t, server.Config{
		Accounts: server.ByApproval, Log: g.log.logger(), Limits: server.Limits{PerSecond: 1e9, Burst: 1e9, Streams: 1e6},
	})
	crowd := g.crowd(t)
	for _, relation := range []access.Relation{access.Anonymous, access.Pending, access.Stranger, access.GoBetween, access.Keeper, access.Operator} {
		g.callers = append(g.callers, crowd[relation])
		if secret := crowd[relation].secret; secret != "" {
			g.secrets = append(g.secrets, secret[strings.Index(secret, "_")+1:])
		}
	}
	g.plant(t, crowd)
	protoregistry.GlobalFiles.RangeFilesByPackage("heirpress.v1", func(f protoreflect.FileDescriptor) bool {
		for i := range f.Services().Len() {
			for k := range f.Services().Get(i).Methods().Len() {
				g.methods = append(g.methods, f.Services().Get(i).Methods().Get(k))
			}
		}
		return true
	})
	slices.SortFunc(g.methods, func(a, b protoreflect.MethodDescriptor) int {
		return strings.Compare(string(a.FullName()), string(b.FullName()))
	})
	return g
}

// plant makes a thing of each kind, some with secrets in them.
func (g *target) plant(t testing.TB, crowd map[access.Relation]somebody) {
	s := &scene{world: g.world, who: crowd}
	g.meet(t, s)
	other := g.invite(t)
	invited, err := g.accounts.CreateInvitation(g.operator.as(t), &pb.CreateInvitationRequest{})
	if err != nil {
		t.Fatal(err)
	}
	_, err = g.deliveries.SetDelivery(crowd[access.Keeper].as(t), &pb.SetDeliveryRequest{Delivery: &pb.Delivery{
		Name: s.list + "/delivery", Email: plantedEmail, WebhookUrl: "https://hooks.example.org/alerts", WebhookSecret: plantedSecret,
	}})
	if err != nil {
		t.Fatal(err)
	}
	draft, _ := g.lotIn(t, crowd[access.Keeper], s.shop.GetName(), pb.LotState_LOT_STATE_DRAFT)
	photo, err := s.upload(crowd[access.Keeper].as(t), s.lot.GetName())
	if err != nil {
		t.Fatal(err)
	}
	g.names = []string{
		s.shop.GetName(), s.lot.GetName(), draft.GetName(), s.list, s.list + "/delivery", s.alert.GetName(), s.notice.GetName(),
		other.account, other.token, "accounts/me", "Dayton, OH",
		photo.GetName(),
	}
	code := invited.GetInvitation()
	g.secrets = append(g.secrets, plantedSecret, plantedEmail, code[strings.Index(code, "_")+1:])
}

// filled is a request of which every field says something, the texts the n-th name.
func (g *target) filled(d protoreflect.MessageDescriptor, n, depth int) proto.Message {
	m := dynamicpb.NewMessage(d)
	for i := range d.Fields().Len() {
		f := d.Fields().Get(i)
		if depth == 0 && f.Message() != nil {
			continue
		}
		switch {
		case f.IsMap():
		case f.IsList():
			m.Mutable(f).List().Append(g.value(f, n+i, depth))
		default:
			m.Set(f, g.value(f, n+i, depth))
		}
	}
	return m
}

func (g *target) value(f protoreflect.FieldDescriptor, n, depth int) protoreflect.Value {
	switch f.Kind() {
	case protoreflect.MessageKind:
		return protoreflect.ValueOfMessage(g.filled(f.Message(), n, depth-1).ProtoReflect())
	case protoreflect.StringKind:
		return protoreflect.ValueOfString(g.text(string(f.Name()), n))
	case protoreflect.EnumKind:
		return protoreflect.ValueOfEnum(protoreflect.EnumNumber(1 + n%f.Enum().Values().Len()))
	case protoreflect.BoolKind:
		return protoreflect.ValueOfBool(n%2 == 0)
	case protoreflect.DoubleKind:
		return protoreflect.ValueOfFloat64(float64(n))
	case protoreflect.Int32Kind:
		return protoreflect.ValueOfInt32(int32(n))
	case protoreflect.Int64Kind:
		return protoreflect.ValueOfInt64(int64(n))
	case protoreflect.Uint64Kind:
		return protoreflect.ValueOfUint64(uint64(n))
	case protoreflect.BytesKind:
		return protoreflect.ValueOfBytes([]byte{byte(n)})
	}
	panic(fmt.Sprint("a field of a kind that the contract did not have: ", f.FullName()))
}

// text is a text that suits a field: a name of what is there, mostly.
func (g *target) text(field string, n int) string {
	switch field {
	case "place":
		return "Dayton, OH"
	case "paths":
		return []string{"title", "state", "place", "description", "wants"}[n%5]
	case "page_token", "resume_token", "etag":
		return ""
	}
	return g.names[n%len(g.names)]
}

// try makes one call, and reports what must not be.
func (g *target) try(t *testing.T, method, caller int, body []byte) {
	m := g.methods[method%len(g.methods)]
	req := dynamicpb.NewMessage(m.Input())
	if proto.Unmarshal(body, req) != nil {
		t.Skip("no request")
	}
	// No call is to wait for what will not come.
	if f := m.Input().Fields().ByName("at_least_change"); f != nil {
		req.Clear(f)
	}
	ctx, cancel := context.WithTimeout(g.callers[caller%len(g.callers)].in(t.Context()), 10*time.Second)
	defer cancel()
	err := g.invoke(ctx, m, req)
	if code := status.Code(err); code == codes.Internal || code == codes.Unknown || code == codes.DeadlineExceeded {
		t.Errorf("%s by caller %d with %v: %v", m.FullName(), caller%len(g.callers), req, err)
	}
	g.tellsNothing(t, fmt.Sprint(err, status.Convert(err).Details()), req)
	g.tellsNothing(t, g.log.take(), req)
}

func (g *target) invoke(ctx context.Context, m protoreflect.MethodDescriptor, req proto.Message) error {
	name := "/" + string(m.Parent().FullName()) + "/" + string(m.Name())
	if !m.IsStreamingServer() {
		return g.conn.Invoke(ctx, name, req, dynamicpb.NewMessage(m.Output()))
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	stream, err := g.conn.NewStream(ctx, &grpc.StreamDesc{ServerStreams: true}, name)
	if err != nil {
		return err
	}
	if err := stream.SendMsg(req); err != nil {
		return err
	}
	if err := stream.CloseSend(); err != nil {
		return err
	}
	if header, err := stream.Header(); err == nil && header != nil {
		return nil // it has begun, and may send nothing for long
	}
	return stream.RecvMsg(dynamicpb.NewMessage(m.Output()))
}

// tellsNothing finds planted secrets in what was told, but for those that the
// request itself had in it.
func (g *target) tellsNothing(t *testing.T, told string, req proto.Message) {
	asked := fmt.Sprint(req)
	for _, secret := range g.secrets {
		if strings.Contains(told, secret) && !strings.Contains(asked, secret) {
			t.Errorf("a secret is told: %s", told)
		}
	}
	if n := strings.Index(told, "heirpress_"); n >= 0 && !strings.Contains(asked, "heirpress_") {
		t.Errorf("a token is told: %s", told)
	}
}

// Every request of the contract, from everybody, whatever is in it: no crash, no
// INTERNAL, no call that does not end, and no secret in any error or in the log.
func FuzzEveryRequest(f *testing.F) {
	g := newTarget(f)
	for i, m := range g.methods {
		for caller := range g.callers {
			body, err := proto.Marshal(g.filled(m.Input(), i+caller, 3))
			if err != nil {
				f.Fatal(err)
			}
			f.Add(uint8(i), uint8(caller), body)
		}
		f.Add(uint8(i), uint8(4), []byte{})
	}
	f.Fuzz(func(t *testing.T, method, caller uint8, body []byte) { g.try(t, int(method), int(caller), body) })
}
