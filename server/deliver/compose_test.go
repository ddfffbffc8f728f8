package deliver

import (
	"bytes"
	"errors"
	"fmt"
	"mime"
	"net/mail"
	"net/url"
	"strings"
	"testing"
	"unicode/utf8"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
)

// Nothing that a title, a town or a want says can put a line into the head of an
// e-mail or a tag into its HTML.
func FuzzCompose(f *testing.F) {
	for _, s := range []string{
		"Halvorsen platen jobber", "a\r\nBcc: everybody@example.org", "a\nSubject: other\n\nbody", "a\x00b", "a\u2028b\u2029c\u0085d", "\u202Ereversed",
		"=?utf-8?q?=0D=0ABcc:_x?=", strings.Repeat("long ", 100), "<script>alert(1)</script>", "\"quoted\" <b@c.example>", "\xff\xfe", ".\r\n.\r\n", "{{.Stop}}", "größer × 10″",
	} {
		f.Add(s, s, 1)
		f.Add("A platen", s, 3)
	}
	m := &Mail{Server: "mail.example:25", From: "heirpress <alerts@registry.example>", PublicURL: "https://registry.example"}
	f.Fuzz(func(t *testing.T, title, want string, n int) {
		n = min(max(n, 1), 4)
		j := &job{dispatch: &pb.Dispatch{Name: "dispatches/abc", WantedList: list, CreateTime: timestamppb.New(at("2026-06-03T14:00:00Z"))}, title: want,
			kept: &pb.KeptDelivery{Delivery: &pb.Delivery{Email: address}, UnsubscribeToken: "token"}, now: at("2026-06-03T14:00:00Z")}
		for i := range n {
			a := anAlert(i)
			a.Lot.Title, a.Lot.ShopTitle, a.WantTitle = title, title, want
			a.Lot.Tag, a.Lot.Town.Label = want, title
			a.Fit.Questions = []string{title}
			a.Fit.Parts = []*pb.FitPart{{Factor: pb.Factor_FACTOR_RIGGING, Reasons: []string{want}}}
			j.alerts, j.dispatch.Alerts = append(j.alerts, a), append(j.dispatch.Alerts, a.GetName())
		}
		msg, err := m.compose(j)
		if err != nil {
			t.Fatal(err)
		}
		var raw bytes.Buffer
		if _, err := msg.WriteTo(&raw); err != nil {
			t.Fatal(err)
		}
		head, _, _ := strings.Cut(raw.String(), "\r\n\r\n")
		checkHead(t, head)
		got, err := mail.ReadMessage(&raw)
		if err != nil {
			t.Fatal(err)
		}
		subject, err := new(mime.WordDecoder).DecodeHeader(got.Header.Get("Subject"))
		if err != nil || utf8.RuneCountInString(subject) > longestSubject || subject != oneLine(subject) {
			t.Errorf("subject %q, %v", subject, err)
		}
		_, html := parts(t, got)
		if strings.Contains(html, "<script") || strings.Count(html, "<a ") != 1 {
			t.Errorf("the HTML holds what a title said:\n%s", html)
		}
	})
}

// checkHead checks that a head has its fields and no others.
func checkHead(t *testing.T, head string) {
	t.Helper()
	known := map[string]bool{
		"date": true, "mime-version": true, "message-id": true, "subject": true, "from": true, "to": true, "auto-submitted": true,
		"list-unsubscribe": true, "list-unsubscribe-post": true, "content-type": true,
	}
	for _, line := range strings.Split(head, "\r\n") {
		if strings.HasPrefix(line, " ") || strings.HasPrefix(line, "\t") {
			continue
		}
		key, _, _ := strings.Cut(line, ":")
		if key = strings.ToLower(key); !known[key] {
			t.Errorf("the head has %q, or has it twice:\n%s", key, head)
		}
		delete(known, key)
	}
	if len(known) > 0 || strings.ContainsAny(strings.ReplaceAll(head, "\r\n", ""), "\r\n") {
		t.Errorf("the head lacks %v, or has a bare line end:\n%s", known, head)
	}
}

func TestOneLine(t *testing.T) {
	for text, want := range map[string]string{
		"": "", " a  b ": "a b", "a\r\nb\tc": "a b c", "a\u2028b\u2029c\u0085d\u200be": "a b c d e", "a\xffb": "a b", "größer": "größer",
	} {
		if got := oneLine(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

func TestClip(t *testing.T) {
	if got := clip(strings.Repeat("ä", 200), longestSubject); utf8.RuneCountInString(got) != longestSubject || !strings.HasSuffix(got, "…") {
		t.Errorf("%q", got)
	}
	if got := clip("short", 5); got != "short" {
		t.Errorf("%q", got)
	}
}

// What goes wrong is told without the address, however a server puts it.
func TestScrub(t *testing.T) {
	d := &pb.Delivery{Email: "Ann@Seeker.example", WebhookUrl: "https://hooks.seeker.example:8443/secret/path?k=v", WebhookSecret: secret}
	for _, err := range []error{
		errors.New("550 5.1.1 <ANN@SEEKER.EXAMPLE>: no such person"),
		errors.New("550 forwarded to ann.inner@corp.example, which is away"),
		&url.Error{Op: "Post", URL: d.GetWebhookUrl(), Err: errors.New("connection refused")},
		fmt.Errorf("around: %w", &url.Error{Op: "Post", URL: d.GetWebhookUrl(), Err: errors.New("lookup hooks.seeker.example: no such host")}),
		&url.Error{Op: "Post", URL: "https://hooks.seeker.example:8443/%73ecret/path", Err: errors.New("as the library writes it")},
		errors.New("two\r\nlines " + secret),
		errors.New(strings.Repeat("long ", 200)),
	} {
		got := scrub(err, d)
		lower := strings.ToLower(got)
		for _, private := range []string{"ann", "seeker", "corp.example", "secret", "path", "\n", "\r"} {
			if strings.Contains(lower, private) {
				t.Errorf("%q tells %q", got, private)
			}
		}
		if got == "" || utf8.RuneCountInString(got) > longestError {
			t.Errorf("%q", got)
		}
	}
}
