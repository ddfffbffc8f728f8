package server_test

import (
	"bytes"
	"io/fs"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/fieldmaskpb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
	"heirpress/server/deliver"
	"heirpress/server/store"
	"heirpress/server/store/sqlite"
)

const hookSecret = "a-secret-of-a-good-length"

func (r *rig) setDelivery(t *testing.T, d *pb.Delivery) (*pb.SetDeliveryResponse, error) {
	t.Helper()
	return r.deliveries.SetDelivery(t.Context(), &pb.SetDeliveryRequest{Delivery: d})
}

func TestADeliveryIsKeptApart(t *testing.T) {
	r := open(t)
	list, _ := r.lodge(t, wanting("Two Stoats", "platen"))
	name := list.GetName() + "/delivery"
	none, err := r.deliveries.GetDelivery(t.Context(), &pb.GetDeliveryRequest{Name: name})
	if err != nil || !proto.Equal(none.GetDelivery(), &pb.Delivery{Name: name}) {
		t.Fatalf("before: %v, %v", none, err)
	}
	set, err := r.setDelivery(t, &pb.Delivery{Name: name, Email: "ann@example.org", WebhookUrl: "https://hooks.example.org/", WebhookSecret: hookSecret,
		EmailStoppedTime: list.GetCreateTime(), Revision: 99})
	if err != nil {
		t.Fatal(err)
	}
	d := set.GetDelivery()
	if d.GetEmail() != "ann@example.org" || d.GetWebhookSecret() != "" || !d.GetWebhookSecretKept() || d.GetEmailStoppedTime() != nil || d.GetRevision() != set.GetChange() || d.GetEtag() == "" {
		t.Errorf("set: %v", set)
	}
	if len(set.GetNotes()) != 1 || !strings.Contains(set.GetNotes()[0], "sends nothing") {
		t.Errorf("notes: %q", set.GetNotes())
	}
	got, err := r.deliveries.GetDelivery(t.Context(), &pb.GetDeliveryRequest{Name: name})
	if err != nil || !proto.Equal(got.GetDelivery(), d) {
		t.Errorf("got %v, %v", got, err)
	}
	again, err := r.wants.GetWantedList(t.Context(), &pb.GetWantedListRequest{Name: list.GetName()})
	if err != nil || strings.Contains(again.String(), "ann@") {
		t.Errorf("the list: %v, %v", again, err)
	}
	gone, err := r.deliveries.DeleteDelivery(t.Context(), &pb.DeleteDeliveryRequest{Name: name})
	if err != nil || gone.GetChange() == 0 {
		t.Errorf("deleted: %v, %v", gone, err)
	}
	if gone, err = r.deliveries.DeleteDelivery(t.Context(), &pb.DeleteDeliveryRequest{Name: name}); err != nil || gone.GetChange() != 0 {
		t.Errorf("deleted again: %v, %v", gone, err)
	}
}

// To put what is there already changes nothing; an etag that is not that of the
// delivery is refused; a secret stays as long as its address does.
func TestADeliveryIsPut(t *testing.T) {
	r := open(t)
	list, _ := r.lodge(t, wanting("Two Stoats", "platen"))
	first := &pb.Delivery{Name: list.GetName() + "/delivery", WebhookUrl: "https://hooks.example.org/", WebhookSecret: hookSecret}
	a, err := r.setDelivery(t, first)
	if err != nil {
		t.Fatal(err)
	}
	same := proto.CloneOf(first)
	same.WebhookSecret = ""
	b, err := r.setDelivery(t, same)
	if err != nil || b.GetChange() != a.GetChange() {
		t.Errorf("the same again: change %d after %d, %v", b.GetChange(), a.GetChange(), err)
	}
	same.Etag, same.MostADay = a.GetDelivery().GetEtag(), proto.Int32(3)
	c, err := r.setDelivery(t, same)
	if err != nil || !c.GetDelivery().GetWebhookSecretKept() {
		t.Fatalf("%v, %v", c, err)
	}
	_, err = r.setDelivery(t, same)
	refused(t, err, codes.Aborted, server.ReasonStale)
	moved := &pb.Delivery{Name: first.GetName(), WebhookUrl: "https://other.example.org/"}
	_, err = r.setDelivery(t, moved)
	if fields := refused(t, err, codes.InvalidArgument, server.ReasonInvalid); fields["delivery.webhook_secret"] == "" {
		t.Errorf("fields: %v", fields)
	}
}

func TestDeliveriesThatAreWrong(t *testing.T) {
	r := open(t)
	list, _ := r.lodge(t, wanting("Two Stoats", "platen"))
	_, err := r.setDelivery(t, nil)
	refused(t, err, codes.InvalidArgument, server.ReasonInvalid)
	for _, name := range []string{"", "nonsense", list.GetName(), "shops/a/delivery", "wantedLists/../delivery"} {
		_, err := r.setDelivery(t, &pb.Delivery{Name: name})
		if fields := refused(t, err, codes.InvalidArgument, server.ReasonInvalid); fields["delivery.name"] == "" {
			t.Errorf("%q: %v", name, fields)
		}
		_, err = r.deliveries.GetDelivery(t.Context(), &pb.GetDeliveryRequest{Name: name})
		refused(t, err, codes.InvalidArgument, server.ReasonInvalid)
		_, err = r.deliveries.DeleteDelivery(t.Context(), &pb.DeleteDeliveryRequest{Name: name})
		refused(t, err, codes.InvalidArgument, server.ReasonInvalid)
	}
	const nobody = "wantedLists/nobody/delivery"
	_, err = r.setDelivery(t, &pb.Delivery{Name: nobody})
	refused(t, err, codes.NotFound, server.ReasonNotFound)
	_, err = r.deliveries.GetDelivery(t.Context(), &pb.GetDeliveryRequest{Name: nobody})
	refused(t, err, codes.NotFound, server.ReasonNotFound)
	_, err = r.deliveries.DeleteDelivery(t.Context(), &pb.DeleteDeliveryRequest{Name: nobody})
	refused(t, err, codes.NotFound, server.ReasonNotFound)
	wrong := &pb.Delivery{Name: list.GetName() + "/delivery", Email: "x", TimeZone: "x"}
	_, err = r.setDelivery(t, wrong)
	if fields := refused(t, err, codes.InvalidArgument, server.ReasonInvalid); fields["delivery.email"] == "" || fields["delivery.time_zone"] == "" {
		t.Errorf("fields: %v", fields)
	}
	_, err = r.wants.CreateWantedList(t.Context(), &pb.CreateWantedListRequest{WantedList: wanting("Other", "platen"), Delivery: wrong})
	if fields := refused(t, err, codes.InvalidArgument, server.ReasonInvalid); fields["delivery.email"] == "" {
		t.Errorf("fields: %v", fields)
	}
	_, err = r.wants.UpdateWantedList(t.Context(), &pb.UpdateWantedListRequest{WantedList: list, UpdateMask: &fieldmaskpb.FieldMask{Paths: []string{"title"}}, Delivery: wrong})
	if fields := refused(t, err, codes.InvalidArgument, server.ReasonInvalid); fields["delivery.email"] == "" {
		t.Errorf("fields: %v", fields)
	}
}

// receiver counts the webhooks that were genuine.
func receiver(t *testing.T) (url string, got *atomic.Int32) {
	t.Helper()
	got = new(atomic.Int32)
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		var body bytes.Buffer
		body.ReadFrom(r.Body)
		if _, err := deliver.Verify(hookSecret, r.Header, body.Bytes(), time.Now()); err != nil {
			t.Error(err)
		}
		got.Add(1)
	}))
	t.Cleanup(s.Close)
	return s.URL, got
}

func eventually(t *testing.T, what string, is func() bool) {
	t.Helper()
	for deadline := time.Now().Add(20 * time.Second); !is(); time.Sleep(2 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatal(what)
		}
	}
}

// A list that is lodged with its delivery hears of the lots that stood already,
// by the delivery that was put in its own transaction; a list that is dropped
// takes its addresses with it.
func TestAListIsLodgedWithItsDelivery(t *testing.T) {
	var log bytes.Buffer
	r := openWith(t, server.Config{Dir: t.TempDir(), Log: slog.New(slog.NewTextHandler(&log, nil)), Deliver: &deliver.Config{Rules: deliver.Rules{Private: true}}})
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	for _, tag := range []string{"a", "b", "c"} {
		r.lot(t, shop, platen(tag))
	}
	url, got := receiver(t)
	made, err := r.wants.CreateWantedList(t.Context(), &pb.CreateWantedListRequest{
		WantedList: wanting("Two Stoats", "platen"), Delivery: &pb.Delivery{WebhookUrl: url, WebhookSecret: hookSecret, Email: "ann@example.org"}, RequestId: "once",
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(made.GetNotes()) != 1 || !strings.Contains(made.GetNotes()[0], "no e-mail") {
		t.Errorf("notes: %q", made.GetNotes())
	}
	eventually(t, "the standing lots were not told", func() bool { return got.Load() == 3 })
	_, change := r.lot(t, shop, platen("d"))
	r.inbox(t, change)
	eventually(t, "the new lot was not told", func() bool { return got.Load() == 4 })
	list := made.GetWantedList().GetName()
	if _, err := r.wants.DeleteWantedList(t.Context(), &pb.DeleteWantedListRequest{Name: list}); err != nil {
		t.Fatal(err)
	}
	r.stop()
	s, err := sqlite.Open(filepath.Join(r.dir, "registry.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if left, err := s.List(t.Context(), store.Listing{Collection: store.Deliveries, AnyParent: true}); err != nil || len(left) != 0 {
		t.Errorf("left: %v, %v", left, err)
	}
	for _, private := range []string{"ann@", hookSecret, strings.TrimPrefix(url, "http://")} {
		if strings.Contains(log.String(), private) {
			t.Errorf("the log tells %s:\n%s", private, &log)
		}
	}
}

// What was due when the registry was closed is sent when it is opened again.
func TestDeliveriesOutliveTheRegistry(t *testing.T) {
	dir := t.TempDir()
	config := server.Config{Dir: dir, Deliver: &deliver.Config{Rules: deliver.Rules{Private: true}}}
	url, got := receiver(t)
	r := openWith(t, server.Config{Dir: dir}) // sends nothing
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	list, _ := r.lodge(t, wanting("Two Stoats", "platen"))
	r.stop()
	r = openWith(t, config)
	if _, err := r.setDelivery(t, &pb.Delivery{Name: list.GetName() + "/delivery", WebhookUrl: url, WebhookSecret: hookSecret}); err != nil {
		t.Fatal(err)
	}
	r.stop()
	r = openWith(t, server.Config{Dir: dir})
	_, change := r.lot(t, shop, platen("a"))
	r.inbox(t, change)
	r.stop()
	if got.Load() != 0 {
		t.Fatal("a registry that sends nothing has sent something")
	}
	openWith(t, config)
	eventually(t, "it was not told", func() bool { return got.Load() == 1 })
}

// When a delivery was deleted, or its list dropped, the address is in no file of the
// registry any more, once it has been opened again or a minute has gone by.
func TestAddressesAreErased(t *testing.T) {
	dir := t.TempDir()
	r := openIn(t, dir)
	for i, drop := range []func(list string) error{
		func(list string) error {
			_, err := r.deliveries.DeleteDelivery(t.Context(), &pb.DeleteDeliveryRequest{Name: list + "/delivery"})
			return err
		},
		func(list string) error {
			_, err := r.wants.DeleteWantedList(t.Context(), &pb.DeleteWantedListRequest{Name: list})
			return err
		},
	} {
		list, _ := r.lodge(t, wanting(strings.Repeat("Two Stoats ", i+1), "platen"))
		for _, address := range []string{"first@seeker.example", "second@seeker.example"} {
			if _, err := r.setDelivery(t, &pb.Delivery{Name: list.GetName() + "/delivery", Email: address, WebhookUrl: "https://hooks.example.org/", WebhookSecret: hookSecret}); err != nil {
				t.Fatal(err)
			}
		}
		r.stop()
		if !anyFileSays(t, dir, "@seeker.example") {
			t.Fatal("the address is not to be seen while it is in use: this test cannot fail")
		}
		r = openIn(t, dir)
		if err := drop(list.GetName()); err != nil {
			t.Fatal(err)
		}
		for _, text := range []string{"@seeker.example", "hooks.example", hookSecret} {
			eventually(t, text+" is in no file", func() bool {
				r.stop() // what is in the write-ahead file goes into the other
				defer func() { r = openIn(t, dir) }()
				return !anyFileSays(t, dir, text)
			})
		}
	}
}

// anyFileSays tells whether a text is in a file of a folder.
func anyFileSays(t *testing.T, dir, text string) (says bool) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		body, err := os.ReadFile(path)
		says = says || bytes.Contains(body, []byte(text))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return says
}

// An address is not confirmed until its owner says so; what else of a delivery is
// changed changes nothing of that.
func TestANewAddressIsUnconfirmed(t *testing.T) {
	r := open(t)
	list, _ := r.lodge(t, wanting("Two Stoats", "platen"))
	name := list.GetName() + "/delivery"
	var last uint64
	for i, c := range []struct {
		put         *pb.Delivery
		unconfirmed bool
		changes     bool
	}{
		{&pb.Delivery{Email: "ann@example.org"}, true, true},
		{&pb.Delivery{Email: "ann@example.org", EmailUnconfirmed: false}, true, false},
		{&pb.Delivery{Email: "ann@example.org", Digest: pb.Digest_DIGEST_DAILY}, true, true},
		{&pb.Delivery{WebhookUrl: "https://hooks.example.org/", WebhookSecret: hookSecret}, false, true},
		{&pb.Delivery{Email: "ann@example.org"}, true, true},
	} {
		c.put.Name = name
		set, err := r.setDelivery(t, c.put)
		if err != nil {
			t.Fatal(err)
		}
		if set.GetDelivery().GetEmailUnconfirmed() != c.unconfirmed || (set.GetChange() != last) != c.changes {
			t.Errorf("%d: %v", i, set)
		}
		last = set.GetChange()
	}
}
