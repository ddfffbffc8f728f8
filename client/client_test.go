package client

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

func TestConnectWaitsForAFolder(t *testing.T) {
	o := Options{Dir: t.TempDir()}
	first, err := Connect(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	var busy *server.BusyError
	o.Wait = 20 * time.Millisecond
	if _, err := Connect(t.Context(), o); !errors.As(err, &busy) || busy.Dir != o.Dir {
		t.Errorf("got %v, want a BusyError", err)
	}
	second := make(chan error, 1)
	go func() {
		c, err := Connect(t.Context(), Options{Dir: o.Dir, Wait: time.Minute})
		if err == nil {
			err = c.Close()
		}
		second <- err
	}()
	if err := first.Close(); err != nil {
		t.Error(err)
	}
	if err := <-second; err != nil {
		t.Errorf("the second was not let in: %v", err)
	}
}

func TestConnectToWhatIsNoAddress(t *testing.T) {
	for _, address := range []string{"registry.example.org", ":7427", "registry.example.org:", "http://registry.example.org:7427/x", "a:b:c", "a:1,", "a:1,b", ",a:1", "a:1;b:2"} {
		var wrong *AddressError
		c, err := Connect(t.Context(), Options{Server: address, Plaintext: true})
		if !errors.As(err, &wrong) || !strings.Contains(err.Error(), address) {
			t.Errorf("%q: %v", address, err)
		}
		if err == nil {
			c.Close()
		}
	}
}

// In the clear only to this machine, or where that was said.
func TestTransport(t *testing.T) {
	for _, c := range []struct {
		server    string
		plaintext bool
		want      string
	}{
		{"127.0.0.1:7427", false, "insecure"},
		{"127.8.8.8:7427", false, "insecure"},
		{"[::1]:7427", false, "insecure"},
		{"localhost:7427", false, "insecure"},
		{"registry.example.org:7427", false, "tls"},
		{"registry.example.org:7427", true, "insecure"},
		{"localhost.example.org:7427", false, "tls"},
		{"127.0.0.1.example.org:7427", false, "tls"},
		{"192.168.1.4:7427", false, "tls"},
		{"0.0.0.0:7427", false, "tls"},
		{"[2001:db8::1]:7427", false, "tls"},
		{"127.0.0.1:7427,[::1]:7427", false, "insecure"},
		{"127.0.0.1:7427,registry.example.org:7427", false, "tls"},
	} {
		creds, err := transport(Options{Plaintext: c.plaintext}, strings.Split(c.server, ","))
		if err != nil || creds.Info().SecurityProtocol != c.want {
			t.Errorf("%s, plaintext %t: %v, %v; want %s", c.server, c.plaintext, creds, err, c.want)
		}
	}
}

func TestTransportWithAuthority(t *testing.T) {
	noPEM := filepath.Join(t.TempDir(), "cert.pem")
	if err := os.WriteFile(noPEM, []byte("not a certificate"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		o    Options
		want string
	}{
		{Options{Server: "127.0.0.1:1", CAFile: noPEM}, "holds no certificate"},
		{Options{Server: "127.0.0.1:1", CAFile: noPEM + "x"}, "cannot be read"},
		{Options{Server: "127.0.0.1:1", CAFile: noPEM, Plaintext: true}, "one of the two"},
	} {
		if _, err := Connect(t.Context(), c.o); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %q", c.o, err, c.want)
		}
	}
}

func TestACallWithoutDeadlineGetsOne(t *testing.T) {
	var left time.Duration
	call := func(ctx context.Context, _ string, _, _ any, _ *grpc.ClientConn, _ ...grpc.CallOption) error {
		deadline, has := ctx.Deadline()
		if !has {
			t.Error("there is no deadline")
		}
		left = time.Until(deadline)
		return nil
	}
	if err := inTime(context.Background(), "", nil, nil, nil, call); err != nil || left > callTime {
		t.Errorf("%v left, %v", left, err)
	}
	long, cancel := context.WithTimeout(t.Context(), 2*callTime)
	defer cancel()
	if err := inTime(long, "", nil, nil, nil, call); err != nil || left < callTime {
		t.Errorf("the caller's own was not kept: %v left, %v", left, err)
	}
}

// gRPC refuses a service config that it cannot read.
func TestRetriesAreValid(t *testing.T) {
	connect := func(config string) error {
		conn, err := grpc.NewClient("127.0.0.1:1", grpc.WithDefaultServiceConfig(config),
			grpc.WithTransportCredentials(insecure.NewCredentials()))
		if err == nil {
			conn.Close()
		}
		return err
	}
	for _, several := range []bool{false, true} {
		if err := connect(serviceConfig(several)); err != nil {
			t.Error(err)
		}
	}
	if err := connect(strings.Replace(serviceConfig(false), `"maxAttempts": 4`, `"maxAttempts": 0`, 1)); err == nil {
		t.Error("a broken one was taken")
	}
}

// Calls that may be made twice are tried again, and no others.
func TestRetriesNameWhatMayBeMadeTwice(t *testing.T) {
	for _, file := range []protoreflect.FileDescriptor{pb.File_heirpress_v1_shop_proto, pb.File_heirpress_v1_lot_proto,
		pb.File_heirpress_v1_search_proto, pb.File_heirpress_v1_wanted_list_proto, pb.File_heirpress_v1_alert_proto,
		pb.File_heirpress_v1_interest_proto, pb.File_heirpress_v1_delivery_proto,
		pb.File_heirpress_v1_private_place_proto, pb.File_heirpress_v1_introduction_proto,
		pb.File_heirpress_v1_history_proto, pb.File_heirpress_v1_proof_proto} {
		for i := range file.Services().Len() {
			service := file.Services().Get(i)
			for j := range service.Methods().Len() {
				checkRetried(t, service, service.Methods().Get(j))
			}
		}
	}
}

func checkRetried(t *testing.T, service protoreflect.ServiceDescriptor, m protoreflect.MethodDescriptor) {
	t.Helper()
	name := string(m.Name())
	want := m.Input().Fields().ByName("request_id") != nil || strings.HasPrefix(name, "Acknowledge")
	for _, reads := range []string{"Get", "List", "Search"} {
		want = want || strings.HasPrefix(name, reads)
	}
	one := `{"service": "` + string(service.FullName()) + `", "method": "` + name + `"}`
	all := `{"service": "` + string(service.FullName()) + `"}`
	if got := strings.Contains(retries, one) || strings.Contains(retries, all); got != want {
		t.Errorf("%s is tried again: %t, want %t", m.FullName(), got, want)
	}
}

func TestDataDir(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("the home folder is not HOME there")
	}
	t.Setenv("HOME", "/home/ada")
	t.Setenv("XDG_DATA_HOME", "")
	home, err := DataDir()
	if err != nil || !strings.HasPrefix(home, "/home/ada/") || filepath.Base(home) != "heirpress" {
		t.Errorf("got %s, %v", home, err)
	}
	t.Setenv("XDG_DATA_HOME", "/srv/data")
	if got, err := DataDir(); err != nil || got != "/srv/data/heirpress" {
		t.Errorf("got %s, %v", got, err)
	}
	t.Setenv("XDG_DATA_HOME", "data") // not a full path: as if it were not set
	if got, err := DataDir(); err != nil || got != home {
		t.Errorf("got %s, %v", got, err)
	}
	if got, err := folder("/elsewhere"); err != nil || got != "/elsewhere" {
		t.Errorf("got %s, %v", got, err)
	}
	t.Setenv("HOME", "")
	if got, err := DataDir(); err == nil || !strings.Contains(err.Error(), "--data") {
		t.Errorf("got %s, %v", got, err)
	}
}

func TestExplain(t *testing.T) {
	c := own(t)
	_, err := c.Lots.CreateLot(t.Context(), &pb.CreateLotRequest{Parent: "shops/none", Lot: &pb.Lot{}})
	if got := Explain(err); !strings.Contains(got, "tag: ") || !strings.Contains(got, "\ntitle: ") || strings.Contains(got, "lot.") {
		t.Errorf("fields: %q", got)
	}
	if problems := FieldProblems(err); len(problems) != 2 || problems[0].Field != "lot.tag" {
		t.Errorf("problems: %v", problems)
	}
	_, err = c.Shops.GetShop(t.Context(), &pb.GetShopRequest{Name: "shops/none"})
	if got := Explain(err); got != `there is no shop "shops/none"` || Code(err) != codes.NotFound {
		t.Errorf("not found: %q", got)
	}
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = c.Shops.GetShop(gone, &pb.GetShopRequest{Name: "shops/none"})
	if got := Explain(err); got != "stopped before the server had answered" {
		t.Errorf("stopped: %q", got)
	}
	late, cancel := context.WithDeadline(t.Context(), time.Now().Add(-time.Second))
	defer cancel()
	_, err = c.Shops.GetShop(late, &pb.GetShopRequest{Name: "shops/none"})
	if got := Explain(err); got != "the server did not answer in time" {
		t.Errorf("late: %q", got)
	}
	if err := errors.New("plain"); Explain(err) != "plain" || Code(err) != codes.Unknown || FieldProblems(err) != nil {
		t.Errorf("plain: %q", Explain(err))
	}
}

func TestPlainTransport(t *testing.T) {
	for message, want := range map[string]string{
		`connection error: desc = "transport: Error while dialing: dial tcp 127.0.0.1:1: connect: connection refused"`: "dial tcp 127.0.0.1:1: connect: connection refused",
		`max retries exhausted: failed after 4 attempts: rpc error: code = Unavailable desc = gone`:                    "gone",
		`connection error: desc = "error reading server preface: EOF"`:                                                 "error reading server preface: EOF; it may want TLS: give --ca with the file of the authority to trust",
		`it is closing`: "it is closing",
	} {
		if got := plainTransport(message); got != want {
			t.Errorf("%s\n got %s\nwant %s", message, got, want)
		}
	}
}
