package deliver

import (
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
)

func TestCheck(t *testing.T) {
	long := strings.Repeat("x", 300)
	for _, c := range []struct {
		field, says string
		d           *pb.Delivery
	}{
		{"", "", &pb.Delivery{}},
		{"", "", &pb.Delivery{Email: "ann.o'hara+press@sub.example.org", Digest: pb.Digest_DIGEST_WEEKLY, TimeZone: "Europe/London", QuietFrom: "22:00", QuietUntil: "7:30", MostADay: proto.Int32(5)}},
		{"", "", &pb.Delivery{WebhookUrl: "https://hooks.example.org/a?b=c", WebhookSecret: secret}},
		{"", "", &pb.Delivery{WebhookUrl: "https://1.1.1.1:8443/", WebhookSecret: "whsec_MDEyMzQ1Njc4OWFiY2RlZg=="}},
		{"email", "write it as ann@example.org", &pb.Delivery{Email: "bob"}},
		{"email", "one e-mail address", &pb.Delivery{Email: "Ann <ann@example.org>"}},
		{"email", "one e-mail address", &pb.Delivery{Email: "ann@example.org,bob@example.org"}},
		{"email", "one e-mail address", &pb.Delivery{Email: "ann@example.org\r\nBcc: bob@example.org"}},
		{"email", "one e-mail address", &pb.Delivery{Email: "ann@example.org\n"}},
		{"email", "one e-mail address", &pb.Delivery{Email: `"a b"@example.org`}},
		{"email", "one e-mail address", &pb.Delivery{Email: "änn@example.org"}},
		{"email", "one e-mail address", &pb.Delivery{Email: long + "@example.org"}},
		{"digest", "immediate, daily, weekly or none", &pb.Delivery{Digest: 9}},
		{"time_zone", `is "Mars/Olympus"`, &pb.Delivery{TimeZone: "Mars/Olympus"}},
		{"time_zone", "America/Detroit", &pb.Delivery{TimeZone: "../../etc/passwd"}},
		{"time_zone", "no place", &pb.Delivery{TimeZone: "Local"}},
		{"quiet_from", `is "22"`, &pb.Delivery{QuietFrom: "22", QuietUntil: "7:00"}},
		{"quiet_from", `is ""`, &pb.Delivery{QuietUntil: "7:00"}},
		{"quiet_until", `is "7 am"`, &pb.Delivery{QuietFrom: "22:00", QuietUntil: "7 am"}},
		{"quiet_until", "quiet all day", &pb.Delivery{QuietFrom: "22:00", QuietUntil: "22:00"}},
		{"most_a_day", "is 0: 1 to 100", &pb.Delivery{MostADay: proto.Int32(0)}},
		{"most_a_day", "is 101", &pb.Delivery{MostADay: proto.Int32(101)}},
		{"webhook_url", "write it as https://", &pb.Delivery{WebhookUrl: "hooks.example.org"}},
		{"webhook_url", "write it as https://", &pb.Delivery{WebhookUrl: "ftp://example.org"}},
		{"webhook_url", "write it as https://", &pb.Delivery{WebhookUrl: "https://:443/"}},
		{"webhook_url", "must begin with https", &pb.Delivery{WebhookUrl: "http://hooks.example.org"}},
		{"webhook_url", "a name or a password", &pb.Delivery{WebhookUrl: "https://me:pw@hooks.example.org"}},
		{"webhook_url", "after #", &pb.Delivery{WebhookUrl: "https://hooks.example.org/#a"}},
		{"webhook_url", "at most 2000", &pb.Delivery{WebhookUrl: "https://hooks.example.org/" + strings.Repeat(long, 7)}},
		{"webhook_url", "private address", &pb.Delivery{WebhookUrl: "https://127.0.0.1/"}},
		{"webhook_url", "private address", &pb.Delivery{WebhookUrl: "https://[::ffff:169.254.169.254]/"}},
		{"webhook_url", "private address", &pb.Delivery{WebhookUrl: "https://localhost/"}},
		{"webhook_secret", "without a webhook_url", &pb.Delivery{WebhookSecret: secret}},
		{"webhook_secret", "has 5 characters: 24 to 200", &pb.Delivery{WebhookUrl: "https://hooks.example.org", WebhookSecret: "short"}},
		{"webhook_secret", "no spaces", &pb.Delivery{WebhookUrl: "https://hooks.example.org", WebhookSecret: "a secret of a good length"}},
		{"webhook_secret", "base64", &pb.Delivery{WebhookUrl: "https://hooks.example.org", WebhookSecret: "whsec_not-base-64-not-base-64"}},
	} {
		wrong := Rules{}.Check(c.d)
		if c.field == "" {
			if wrong != nil {
				t.Errorf("%v: %v", c.d, wrong)
			}
			continue
		}
		if len(wrong) != 1 || wrong[0].Field != c.field || !strings.Contains(wrong[0].Description, c.says) {
			t.Errorf("%v: %v, want %s to say %q", c.d, wrong, c.field, c.says)
		}
		for _, w := range wrong {
			for _, private := range []string{c.d.GetEmail(), c.d.GetWebhookUrl(), c.d.GetWebhookSecret()} {
				if private != "" && strings.Contains(w.Description, private) {
					t.Errorf("%s repeats %q", w.Field, private)
				}
			}
		}
	}
}

func TestPrivateWebhooksByLeave(t *testing.T) {
	for _, url := range []string{"http://127.0.0.1:8080/", "http://localhost/", "https://10.0.0.1/"} {
		if wrong := (Rules{Private: true}).Check(&pb.Delivery{WebhookUrl: url, WebhookSecret: secret}); wrong != nil {
			t.Errorf("%s: %v", url, wrong)
		}
	}
}

// All that is wrong is told at once.
func TestCheckTellsAll(t *testing.T) {
	wrong := Rules{}.Check(&pb.Delivery{Email: "x", Digest: 9, TimeZone: "x", QuietFrom: "x", MostADay: proto.Int32(-1), WebhookUrl: "x", WebhookSecret: "x"})
	if len(wrong) != 7 {
		t.Errorf("%d of 7: %v", len(wrong), wrong)
	}
}

func TestMerge(t *testing.T) {
	before := &pb.Delivery{WebhookUrl: "https://a.example", WebhookSecret: secret}
	kept := &pb.Delivery{WebhookUrl: "https://a.example"}
	if wrong := Merge(kept, before); wrong != nil || kept.GetWebhookSecret() != secret {
		t.Errorf("the same address: %v, %v", wrong, kept)
	}
	moved := &pb.Delivery{WebhookUrl: "https://b.example"}
	if wrong := Merge(moved, before); wrong == nil || wrong.Field != "webhook_secret" || moved.GetWebhookSecret() != "" {
		t.Errorf("another address: %v, %v", wrong, moved)
	}
	for _, d := range []*pb.Delivery{{}, {WebhookUrl: "https://b.example", WebhookSecret: "another"}} {
		if wrong := Merge(d, before); wrong != nil {
			t.Errorf("%v: %v", d, wrong)
		}
	}
}

func TestMailCheck(t *testing.T) {
	good := Mail{Server: "mail.example.org:587", From: "alerts@example.org", PublicURL: "https://example.org"}
	if err := good.Check(); err != nil {
		t.Error(err)
	}
	for says, change := range map[string]func(*Mail){
		"write it as host:port":                  func(m *Mail) { m.Server = "mail.example.org" },
		"as mail.example.org:587":                func(m *Mail) { m.Server = "mail.example.org:smtp" },
		`is "ssl": say starttls, tls or none`:    func(m *Mail) { m.TLS = "ssl" },
		"in the clear":                           func(m *Mail) { m.TLS, m.User, m.Password = NoTLS, "u", "p" },
		"both a user and a password":             func(m *Mail) { m.User = "u" },
		"write it as alerts@example.org":         func(m *Mail) { m.From = "alerts" },
		`the public address is "example.org"`:    func(m *Mail) { m.PublicURL = "example.org" },
		`the public address is "http://example`:  func(m *Mail) { m.PublicURL = "http://example.org" },
		`the public address is "https://a.b?c=d`: func(m *Mail) { m.PublicURL = "https://a.b?c=d" },
	} {
		m := good
		change(&m)
		if err := m.Check(); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%v, want %q", err, says)
		}
	}
}
