package pages_test

import (
	"net/http"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

// A seeker says where and when they are written to; what the page has no field for
// stays.
func TestWhereAlertsAreSent(t *testing.T) {
	p := serveAccounts(t, server.ByInvitation)
	p.signIn(t, p.seeker)
	p.send(t, "/wants", p.get(t, newWant("q", "platen near Dayton, OH")).form(t, "/wants")).is(t, http.StatusOK)
	path := p.get(t, "/wants").link(t, "E-mail")
	name := strings.TrimSuffix(strings.Replace(path, "/wants/", "wantedLists/", 1), "/e-mail") + "/delivery"
	deliveries := pb.NewDeliveryServiceClient(p.conn)
	if _, err := deliveries.SetDelivery(p.seeker.as(t), &pb.SetDeliveryRequest{Delivery: &pb.Delivery{Name: name, WebhookUrl: "https://example.org/alerts", WebhookSecret: strings.Repeat("s", 24)}}); err != nil {
		t.Fatal(err)
	}
	page := p.get(t, path).is(t, http.StatusOK, "How often")
	if wrong := faults(page); len(wrong) > 0 {
		t.Error(wrong)
	}
	form := page.form(t, path)
	for field, wrong := range map[string]string{"email": "nowhere", "zone": "Dayton/Ohio", "from": "late"} {
		bad := page.form(t, path)
		bad.Set(field, wrong)
		if field == "from" {
			bad.Set("until", "07:00")
		}
		p.send(t, path, bad).is(t, http.StatusBadRequest, "How often")
	}
	form.Set("email", "ben@example.org")
	form.Set("digest", "daily")
	form.Set("from", "22:00")
	form.Set("until", "07:00")
	form.Set("zone", "America/Detroit")
	p.send(t, path, form).is(t, http.StatusOK)
	got, err := deliveries.GetDelivery(p.seeker.as(t), &pb.GetDeliveryRequest{Name: name})
	if d := got.GetDelivery(); err != nil || d.GetEmail() != "ben@example.org" || d.GetDigest() != pb.Digest_DIGEST_DAILY || d.GetQuietFrom() != "22:00" ||
		d.GetTimeZone() != "America/Detroit" || d.GetWebhookUrl() != "https://example.org/alerts" || !d.GetWebhookSecretKept() {
		t.Errorf("kept %v, %v", d, err)
	}
	p.send(t, path, form).is(t, http.StatusConflict, "Somebody was quicker") // The etag is an old one.
	p.signIn(t, p.keeper)
	p.get(t, path).is(t, http.StatusNotFound)
	p.send(t, path, form).is(t, http.StatusNotFound)
}
