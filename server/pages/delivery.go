package pages

import (
	"net/http"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// deliveryPage is where a list's alerts are sent, and when.
type deliveryPage struct {
	*pb.Delivery
	Title, ID string
	Off       bool
	Notes     []string
	Choices   []digestChoice
	Wrong     wrongs
}

// digestChoice is a way to gather e-mails.
type digestChoice struct {
	Value, Says string
	Chosen      bool
}

var digests = []struct {
	value, says string
	digest      pb.Digest
}{
	{"immediate", "As things turn up", pb.Digest_DIGEST_IMMEDIATE},
	{"daily", "Once a day, in the morning", pb.Digest_DIGEST_DAILY},
	{"weekly", "Once a week, on Monday", pb.Digest_DIGEST_WEEKLY},
	{"none", "Not at all", pb.Digest_DIGEST_NONE},
}

// deliveryFields are the fields of the form.
var deliveryFields = map[string]string{
	"delivery.email": "email", "delivery.time_zone": "zone", "delivery.quiet_from": "from", "delivery.quiet_until": "until",
}

func (s *site) delivery(v *visit) error {
	ctx, cancel := v.calling()
	defer cancel()
	got, err := s.deliveries.GetDelivery(ctx, &pb.GetDeliveryRequest{Name: v.deliveryName()})
	if err != nil {
		return err
	}
	return s.showDelivery(v, http.StatusOK, deliveryPage{Delivery: got.GetDelivery(), Notes: got.GetNotes()})
}

func (v *visit) deliveryName() string { return "wantedLists/" + v.r.PathValue("list") + "/delivery" }

func (s *site) showDelivery(v *visit, code int, p deliveryPage) error {
	ctx, cancel := v.calling()
	defer cancel()
	p.ID = v.r.PathValue("list")
	list, err := s.wants.GetWantedList(ctx, &pb.GetWantedListRequest{Name: "wantedLists/" + p.ID})
	if err != nil {
		return err
	}
	p.Title, p.Off = list.GetWantedList().GetTitle(), p.GetEmailStoppedTime() != nil
	for _, d := range digests {
		is := p.GetDigest() == d.digest || p.GetDigest() == pb.Digest_DIGEST_UNSPECIFIED && d.digest == pb.Digest_DIGEST_IMMEDIATE
		p.Choices = append(p.Choices, digestChoice{d.value, d.says, is})
	}
	v.w.Header().Set("Cache-Control", "no-store") // It has an address.
	s.show(v, code, "delivery", view{Title: "E-mail for " + p.Title, Here: "wants", Body: p})
	return nil
}

// deliver puts where a list's alerts are sent. What the form has no field for, as a
// webhook, stays as it is.
func (s *site) deliver(v *visit) error {
	ctx, cancel := v.calling()
	defer cancel()
	got, err := s.deliveries.GetDelivery(ctx, &pb.GetDeliveryRequest{Name: v.deliveryName()})
	if err != nil {
		return err
	}
	field := func(name string) string { return strings.ToValidUTF8(strings.TrimSpace(v.r.PostFormValue(name)), "") }
	d := got.GetDelivery()
	d.Email, d.TimeZone, d.QuietFrom, d.QuietUntil, d.Etag = field("email"), field("zone"), field("from"), field("until"), field("etag")
	d.Digest = pb.Digest_DIGEST_UNSPECIFIED
	for _, one := range digests {
		if one.value == field("digest") {
			d.Digest = one.digest
		}
	}
	_, err = s.deliveries.SetDelivery(ctx, &pb.SetDeliveryRequest{Delivery: d})
	if wrong, all := wrongsOf(err, deliveryFields); all {
		return s.showDelivery(v, http.StatusBadRequest, deliveryPage{Delivery: d, Wrong: wrong})
	}
	if err != nil {
		return err
	}
	return s.goTo(v, "/wants/"+v.r.PathValue("list")+"/e-mail")
}
