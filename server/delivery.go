package server

import (
	"context"
	"errors"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/deliver"
	"heirpress/server/store"
)

type deliveryService struct {
	pb.UnimplementedDeliveryServiceServer
	*Registry
}

// deliveryList is the wanted list that a delivery's name is of.
func deliveryList(field, name string) (string, error) {
	if list, ok := deliver.List(name); ok && wantedListName.MatchString(list) {
		return list, nil
	}
	return "", invalid(field, "is not the name of a delivery: write wantedLists/, the list's id, and /delivery")
}

func (s *deliveryService) GetDelivery(ctx context.Context, req *pb.GetDeliveryRequest) (*pb.GetDeliveryResponse, error) {
	list, err := deliveryList("name", req.GetName())
	if err != nil {
		return nil, err
	}
	kept, err := s.mayDelivery(ctx, s.store, list)
	if err != nil {
		return nil, err
	}
	d := deliver.Told(kept)
	return &pb.GetDeliveryResponse{Delivery: d, Notes: s.deliveryNotes(d)}, nil
}

// mayDelivery is keptDelivery, for a caller who may do what they do to it.
func (s *deliveryService) mayDelivery(ctx context.Context, from store.Reader, list string) (*pb.KeptDelivery, error) {
	kept, err := keptDelivery(ctx, from, list)
	if err != nil {
		return nil, err
	}
	return kept, s.may(ctx, from, theList(list))
}

// keptDelivery is the delivery of a list that there is; one that was never set
// has nothing but its name.
func keptDelivery(ctx context.Context, from store.Reader, list string) (*pb.KeptDelivery, error) {
	if _, err := recordOf(ctx, from, store.WantedLists, list); err != nil {
		return nil, err
	}
	r, err := from.Get(ctx, deliver.Name(list))
	if errors.Is(err, store.ErrNotFound) {
		return &pb.KeptDelivery{Delivery: &pb.Delivery{Name: deliver.Name(list)}}, nil
	}
	if err != nil {
		return nil, err
	}
	return deliver.Kept(r)
}

func (s *deliveryService) SetDelivery(ctx context.Context, req *pb.SetDeliveryRequest) (*pb.SetDeliveryResponse, error) {
	if req.GetDelivery() == nil {
		return nil, invalid("delivery", "is missing")
	}
	list, err := deliveryList("delivery.name", req.GetDelivery().GetName())
	if err != nil {
		return nil, err
	}
	if err := s.checkDelivery(req.GetDelivery()); err != nil {
		return nil, err
	}
	answer := new(pb.SetDeliveryResponse)
	err = s.store.Write(ctx, func(tx store.Tx) error {
		before, err := s.mayDelivery(ctx, tx, list)
		if err != nil {
			return err
		}
		after, err := putDelivery(ctx, tx, before, req.GetDelivery())
		if err != nil {
			return err
		}
		answer.Delivery, answer.Change = deliver.Told(after), after.GetDelivery().GetRevision()
		return nil
	})
	if err != nil {
		return nil, err
	}
	answer.Notes = s.deliveryNotes(answer.GetDelivery())
	return answer, nil
}

// deliverToo puts the delivery of a list in the transaction that writes the list,
// so that none of its alerts comes before; nil leaves it as it is.
func deliverToo(ctx context.Context, tx store.Tx, list string, asked *pb.Delivery) error {
	if asked == nil {
		return nil
	}
	before, err := keptDelivery(ctx, tx, list)
	if err != nil {
		return err
	}
	asked = proto.CloneOf(asked)
	asked.Name = deliver.Name(list)
	_, err = putDelivery(ctx, tx, before, asked)
	return err
}

func (r *Registry) checkDelivery(d *pb.Delivery) error {
	if d == nil {
		return nil
	}
	var violations []*errdetails.BadRequest_FieldViolation
	for _, v := range r.deliveryRules().Check(d) {
		violations = append(violations, deliveryViolation(v))
	}
	if violations == nil {
		return nil
	}
	return invalidFields(violations)
}

func deliveryViolation(v deliver.Violation) *errdetails.BadRequest_FieldViolation {
	return &errdetails.BadRequest_FieldViolation{Field: "delivery." + v.Field, Description: v.Description}
}

// deliveryRules are the operator's; without one, whose registry sends nothing,
// the strict ones.
func (r *Registry) deliveryRules() deliver.Rules {
	if r.config.Deliver == nil {
		return deliver.Rules{}
	}
	return r.config.Deliver.Rules
}

// putDelivery puts what was asked in the place of what was there.
func putDelivery(ctx context.Context, tx store.Tx, before *pb.KeptDelivery, asked *pb.Delivery) (*pb.KeptDelivery, error) {
	was := before.GetDelivery()
	if etag := asked.GetEtag(); etag != "" && etag != was.GetEtag() {
		return nil, stale(was.GetName(), was.GetEtag())
	}
	d := asDelivery(asked)
	if wrong := deliver.Merge(d, was); wrong != nil {
		return nil, invalidFields([]*errdetails.BadRequest_FieldViolation{deliveryViolation(*wrong)})
	}
	late := deliver.ConfirmExpired(before, tx.Now())
	if was.GetRevision() != 0 && !late && proto.Equal(d, asDelivery(was)) {
		return before, nil
	}
	d.UpdateTime = now(tx)
	kept := &pb.KeptDelivery{Delivery: d, UnsubscribeToken: tokenFor(before, d)}
	switch sameAddress := d.GetEmail() == was.GetEmail(); {
	case d.GetEmail() == "", sameAddress && before.GetConfirmCode() == "":
	case sameAddress && !late:
		kept.ConfirmCode, kept.ConfirmByTime = before.GetConfirmCode(), before.GetConfirmByTime()
	default:
		kept.ConfirmCode = deliver.NewToken()
	}
	r, err := deliver.Record(kept)
	if err != nil {
		return nil, err
	}
	if was.GetRevision() == 0 {
		r, err = tx.Create(ctx, r)
	} else {
		r, err = tx.Update(ctx, r)
	}
	if err != nil {
		return nil, err
	}
	return deliver.Kept(r)
}

// asDelivery is what of a delivery a caller may set.
func asDelivery(d *pb.Delivery) *pb.Delivery {
	return &pb.Delivery{
		Name: d.GetName(), Email: d.GetEmail(), Digest: d.GetDigest(), TimeZone: d.GetTimeZone(),
		QuietFrom: d.GetQuietFrom(), QuietUntil: d.GetQuietUntil(), MostADay: d.MostADay,
		WebhookUrl: d.GetWebhookUrl(), WebhookSecret: d.GetWebhookSecret(),
	}
}

// tokenFor is the token that turns e-mail off. Another address gets another: who
// had the list's e-mails before has no say over the new ones.
func tokenFor(before *pb.KeptDelivery, d *pb.Delivery) string {
	switch {
	case d.GetEmail() == "":
		return ""
	case d.GetEmail() == before.GetDelivery().GetEmail():
		return before.GetUnsubscribeToken()
	}
	return deliver.NewToken()
}

// deliveryNotes is what of a delivery this registry does not do.
func (r *Registry) deliveryNotes(d *pb.Delivery) []string {
	switch c := r.config.Deliver; {
	case d.GetEmail() == "" && d.GetWebhookUrl() == "":
		return nil
	case c == nil:
		return []string{"This registry is for one machine and sends nothing: heirpress alerts shows what has turned up."}
	case c.Mail != nil && d.GetEmailUnconfirmed() && !c.Unasked && d.GetDigest() != pb.Digest_DIGEST_NONE:
		return []string{"An e-mail goes there that asks whether the address is the seeker's; alerts follow when its button was pressed, within a week."}
	case c.Mail == nil && d.GetEmail() != "":
		return []string{"This registry sends no e-mail: its operator has named no mail server. heirpress alerts shows what has turned up."}
	}
	return nil
}

func (s *deliveryService) DeleteDelivery(ctx context.Context, req *pb.DeleteDeliveryRequest) (*pb.DeleteDeliveryResponse, error) {
	list, err := deliveryList("name", req.GetName())
	if err != nil {
		return nil, err
	}
	answer := new(pb.DeleteDeliveryResponse)
	err = s.store.Write(ctx, func(tx store.Tx) error {
		if _, err := s.mayDelivery(ctx, tx, list); err != nil {
			return err
		}
		answer.Change, err = dropDelivery(ctx, tx, list)
		return err
	})
	return answer, err
}

// dropDelivery deletes a list's delivery, if it has one.
func dropDelivery(ctx context.Context, tx store.Tx, list string) (change uint64, err error) {
	change, err = tx.Delete(ctx, deliver.Name(list))
	if errors.Is(err, store.ErrNotFound) {
		return 0, nil
	}
	return change, err
}
