package deliver

import (
	"crypto/sha256"
	"encoding/base32"
	"fmt"
	"strings"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
)

// Name is the resource name of a wanted list's delivery.
func Name(list string) string { return list + "/delivery" }

// List is the wanted list of a delivery's name; false if it is no such name.
func List(name string) (list string, ok bool) { return strings.CutSuffix(name, "/delivery") }

func timesName(list string) string { return list + "/emailTimes" }

// hashed is a name that is the same for the same parts, and tells nothing of
// them.
func hashed(collection string, parts ...any) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%q", parts))
	return collection + "/" + strings.ToLower(base32.StdEncoding.EncodeToString(sum[:15]))
}

func entryName(alert string, c pb.Channel) string { return hashed("outbox", alert, int32(c)) }

// dispatchName is made of all that a dispatch tells: an alert is in one dispatch
// of a channel only, so no two have the same.
func dispatchName(c pb.Channel, alerts []string) string {
	return hashed("dispatches", int32(c), alerts)
}

// read reads the message in a record.
func read[M any, P interface {
	*M
	proto.Message
}](r store.Record) (P, error) {
	m := P(new(M))
	if err := proto.Unmarshal(r.Body, m); err != nil {
		return nil, fmt.Errorf("record %s at change %d cannot be read: %w", r.Name, r.Revision, err)
	}
	return m, nil
}

func entryRecord(e *pb.OutboxEntry) (store.Record, error) {
	body, err := record.Body(e)
	return store.Record{
		Name: e.GetName(), Collection: store.Outbox, Parent: e.GetWantedList(), Open: e.GetDispatch() == "", Body: body,
	}, err
}

func dispatchRecord(d *pb.Dispatch) (store.Record, error) {
	body, err := record.Body(d)
	return store.Record{
		Name: d.GetName(), Collection: store.Dispatches, Parent: d.GetWantedList(),
		Open: d.GetState() == pb.DispatchState_DISPATCH_STATE_DUE, Body: body,
	}, err
}

// deadRecord is a dispatch in the dead-letter box: a record beside its own, so
// that the box can be read however much was sent.
func deadRecord(d *pb.Dispatch) (store.Record, error) {
	body, err := record.Body(d)
	return store.Record{Name: deadName(d.GetName()), Collection: store.DeadLetters, Body: body}, err
}

func deadName(dispatch string) string {
	return "deadLetters/" + strings.TrimPrefix(dispatch, "dispatches/")
}

// Record is a delivery as it is kept. It is found by its token, and open as long as
// its address is to be asked.
func Record(k *pb.KeptDelivery) (store.Record, error) {
	body, err := record.Body(k)
	return store.Record{
		Name: k.GetDelivery().GetName(), Collection: store.Deliveries, Key: k.GetUnsubscribeToken(),
		Open: k.GetConfirmCode() != "" && k.GetConfirmByTime() == nil, Body: body,
	}, err
}

// Kept reads a delivery as it is kept, with the revision that it has.
func Kept(r store.Record) (*pb.KeptDelivery, error) {
	k, err := read[pb.KeptDelivery](r)
	if err != nil {
		return nil, err
	}
	k.Delivery.Name, k.Delivery.Revision, k.Delivery.Etag = r.Name, r.Revision, record.Etag(r.Revision)
	k.Delivery.EmailUnconfirmed = k.GetConfirmCode() != ""
	return k, nil
}

// Told is a delivery as it may be told: without the secret.
func Told(k *pb.KeptDelivery) *pb.Delivery {
	d := proto.CloneOf(k.GetDelivery())
	d.WebhookSecretKept = d.GetWebhookSecret() != ""
	d.WebhookSecret = ""
	return d
}
