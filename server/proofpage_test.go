package server_test

import (
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

// visit asks for a page as a browser does.
func visit(t *testing.T, method, address string, form url.Values) (int, string) {
	t.Helper()
	req, err := http.NewRequestWithContext(t.Context(), method, address, strings.NewReader(form.Encode()))
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	got, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer got.Body.Close()
	body, err := io.ReadAll(got.Body)
	if err != nil {
		t.Fatal(err)
	}
	if got.Header.Get("Referrer-Policy") != "no-referrer" || got.Header.Get("Cache-Control") != "no-store" {
		t.Errorf("%s %s has the head %v", method, address, got.Header)
	}
	return got.StatusCode, string(body)
}

var etagOnPage = regexp.MustCompile(`name="etag" value="([^"]+)"`)

// A keeper with nothing but a browser reads the proof by a link, corrects it, reads
// it again by another and passes it; what is in a listing is text there.
func TestAProofIsReadInABrowser(t *testing.T) {
	r := openTrusted(t)
	goBetween := r.person(t, "Ines")
	shop := well(t, r.shops.CreateShop, goBetween, &pb.CreateShopRequest{
		Shop: &pb.Shop{Title: "Marrowby", Place: "Dayton, OH"}, OnBehalf: "she asked me to",
	}).GetShop()
	lot := platen("P1")
	lot.Description = `<script>alert("x")</script>`
	lot = r.lotOf(t, goBetween, shop, lot)
	pages := httptest.NewServer(r.registry.Pages())
	defer pages.Close()
	link := func() string {
		code := well(t, r.proofs().CreateProofCode, goBetween, &pb.CreateProofCodeRequest{Shop: shop.GetName()}).GetCode()
		return pages.URL + "/proof/" + code
	}
	first := link()
	for range 3 { // to look uses nothing up
		if code, body := visit(t, "GET", first, nil); code != 200 || !strings.Contains(body, "tag P1") || strings.Contains(body, "<script>") || !strings.Contains(body, "&lt;script&gt;") {
			t.Fatalf("the page is %d, %s", code, body)
		}
	}
	if code, body := visit(t, "POST", first, url.Values{"act": {"correct"}, "lot": {"", lot.GetName()}, "note": {"", " "}}); code != 200 || !strings.Contains(body, "You have not written") {
		t.Errorf("without a correction: %d, %s", code, body)
	}
	if code, body := visit(t, "POST", first, url.Values{"act": {"correct"}, "lot": {"", lot.GetName()}, "note": {"", "it prints well"}}); code != 200 || !strings.Contains(body, "It is written down") {
		t.Errorf("corrected: %d, %s", code, body)
	}
	if got := r.proof(t, goBetween, shop).GetCorrections(); len(got) != 1 || got[0].GetLot() != lot.GetName() || got[0].GetNote() != "it prints well" {
		t.Errorf("written down: %v", got)
	}
	if code, body := visit(t, "GET", first, nil); code != 404 || !strings.Contains(body, "This link is not known") {
		t.Errorf("a used link: %d, %s", code, body)
	}
	second := link()
	_, body := visit(t, "GET", second, nil)
	etag := etagOnPage.FindStringSubmatch(body)[1]
	well(t, r.lots.UpdateLot, goBetween, &pb.UpdateLotRequest{Lot: &pb.Lot{Name: lot.GetName(), Title: "other"}, UpdateMask: mask("title")})
	if code, body := visit(t, "POST", second, url.Values{"act": {"pass"}, "etag": {etag}}); code != 409 || !strings.Contains(body, "changed since you read it") {
		t.Errorf("passed what was not read: %d, %s", code, body)
	}
	_, body = visit(t, "GET", second, nil)
	if code, body := visit(t, "POST", second, url.Values{"act": {"pass"}, "etag": {etagOnPage.FindStringSubmatch(body)[1]}}); code != 200 || !strings.Contains(body, "It is offered now") {
		t.Errorf("passed: %d, %s", code, body)
	}
	if got := well(t, r.lots.GetLot, nobody, &pb.GetLotRequest{Name: lot.GetName()}).GetLot(); got.GetState() != pb.LotState_LOT_STATE_OFFERED {
		t.Errorf("the lot is %v", got.GetState())
	}
	var code int
	for range 15 {
		code, _ = visit(t, "GET", pages.URL+"/proof/heirpress-proof_nonsense", nil)
	}
	if code != http.StatusTooManyRequests {
		t.Errorf("who tries links is told %d", code)
	}
}
