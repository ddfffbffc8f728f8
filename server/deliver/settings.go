package deliver

import (
	"errors"
	"fmt"
	"net/mail"
	"net/netip"
	"net/url"
	"strings"
	"time"

	_ "time/tzdata" // a seeker's zone is known whatever the machine has

	pb "heirpress/proto/heirpress/v1"
)

// usualMost is most_a_day where nobody says; most is the contract's limit.
const (
	usualMost = 10
	most      = 100
)

// Violation is a field of a delivery that is wrong.
type Violation struct {
	// Field is its name in the contract.
	Field string
	// Description says what would be right. It repeats no address and no secret.
	Description string
}

// Rules is what a registry lets a delivery say.
type Rules struct {
	// Private allows webhooks to private addresses, and without TLS.
	Private bool
}

// Check tells everything that is wrong with a delivery that a caller gives.
func (r Rules) Check(d *pb.Delivery) []Violation {
	var wrong []Violation
	check := func(field string, err error) {
		if err != nil {
			wrong = append(wrong, Violation{field, err.Error()})
		}
	}
	check("email", checkEmail(d.GetEmail()))
	check("digest", checkDigest(d.GetDigest()))
	_, err := zoneOf(d)
	check("time_zone", err)
	field, err := checkQuiet(d)
	check(field, err)
	if d.MostADay != nil && (d.GetMostADay() < 1 || d.GetMostADay() > most) {
		check("most_a_day", fmt.Errorf("is %d: 1 to %d, or absent for the usual %d", d.GetMostADay(), most, usualMost))
	}
	check("webhook_url", r.checkURL(d.GetWebhookUrl()))
	check("webhook_secret", checkSecret(d))
	return wrong
}

// longestAddress is the most that SMTP carries: RFC 5321, 4.5.3.1.3, with the
// angle brackets taken off.
const longestAddress = 254

// checkEmail accepts a bare address only: no name before it, no list of them,
// and nothing in which a line could end.
func checkEmail(text string) error {
	if text == "" {
		return nil
	}
	help := errors.New("is not one e-mail address: write it as ann@example.org")
	if len(text) > longestAddress || strings.ContainsFunc(text, func(r rune) bool { return r <= ' ' || r >= 0x7f || strings.ContainsRune(`"<>(),;:\`, r) }) {
		return help
	}
	parsed, err := mail.ParseAddress(text)
	if err != nil || parsed.Address != text || parsed.Name != "" {
		return help
	}
	return nil
}

func checkDigest(d pb.Digest) error {
	if _, known := pb.Digest_name[int32(d)]; !known {
		return fmt.Errorf("is %d, which is none: immediate, daily, weekly or none", d)
	}
	return nil
}

// zoneOf is the zone of a delivery; UTC where it names none.
func zoneOf(d *pb.Delivery) (*time.Location, error) {
	if d.GetTimeZone() == "Local" {
		return nil, errors.New(`is "Local", which is no place: write it as America/Detroit`)
	}
	l, err := time.LoadLocation(d.GetTimeZone())
	if err != nil {
		return nil, fmt.Errorf("is %q, which is no time zone: write it as America/Detroit", d.GetTimeZone())
	}
	return l, nil
}

// checkQuiet also tells which field is wrong.
func checkQuiet(d *pb.Delivery) (field string, err error) {
	if d.GetQuietFrom() == "" && d.GetQuietUntil() == "" {
		return "", nil
	}
	from, err := parseTimeOfDay(d.GetQuietFrom())
	if err != nil {
		return "quiet_from", err
	}
	until, err := parseTimeOfDay(d.GetQuietUntil())
	if err != nil {
		return "quiet_until", err
	}
	if from == until {
		return "quiet_until", errors.New("is the same as quiet_from, which would be quiet all day: for no e-mail at all, ask for no digest")
	}
	return "", nil
}

const longestURL = 2000

func (r Rules) checkURL(text string) error {
	if text == "" {
		return nil
	}
	u, err := url.Parse(text)
	switch {
	case len(text) > longestURL:
		return fmt.Errorf("has %d characters: at most %d", len(text), longestURL)
	case err != nil || u.Host == "" || u.Hostname() == "" || u.Scheme != "https" && u.Scheme != "http":
		return errors.New("is not a web address: write it as https://example.org/alerts")
	case u.User != nil:
		return errors.New("carries a name or a password: webhooks are signed instead")
	case u.Fragment != "":
		return errors.New("has a part after #, which is never sent: leave it out")
	case u.Scheme != "https" && !r.Private:
		return errors.New("must begin with https: what an alert says is not for everybody on the way")
	}
	return r.checkHost(u.Hostname())
}

// checkHost refuses at once what can be seen to be no public address. What a
// name stands for is looked at whenever it is called.
func (r Rules) checkHost(host string) error {
	if r.Private {
		return nil
	}
	ip, err := netip.ParseAddr(host)
	if err == nil && !isPublic(ip) || host == "localhost" || strings.HasSuffix(host, ".localhost") {
		return errors.New("names a private address, and this registry does not send there")
	}
	return nil
}

const (
	shortestSecret = 24
	longestSecret  = 200
)

func checkSecret(d *pb.Delivery) error {
	s := d.GetWebhookSecret()
	switch {
	case s == "":
		return nil
	case d.GetWebhookUrl() == "":
		return errors.New("is given without a webhook_url to use it for")
	case len(s) < shortestSecret || len(s) > longestSecret:
		return fmt.Errorf("has %d characters: %d to %d", len(s), shortestSecret, longestSecret)
	case strings.ContainsFunc(s, func(c rune) bool { return c <= ' ' || c > '~' }):
		return errors.New("has characters that are not plain: letters, figures and signs of ASCII, no spaces")
	}
	_, err := secretKey(s)
	return err
}

// Merge gives a delivery that is to be put what it does not say of the one there
// is: the secret, as long as the webhook stays where it is. The error says that
// there is none.
func Merge(put, before *pb.Delivery) *Violation {
	if put.GetWebhookUrl() == "" || put.GetWebhookSecret() != "" {
		return nil
	}
	if put.GetWebhookUrl() == before.GetWebhookUrl() && before.GetWebhookSecret() != "" {
		put.WebhookSecret = before.GetWebhookSecret()
		return nil
	}
	return &Violation{"webhook_secret", fmt.Sprintf("is missing: a new webhook_url needs a secret of %d to %d characters, which signs what is sent", shortestSecret, longestSecret)}
}

// settingsOf is what a delivery that was checked asks for of e-mails.
func settingsOf(d *pb.Delivery) (settings, error) {
	l, err := zoneOf(d)
	if err != nil {
		return settings{}, err
	}
	s := settings{digest: d.GetDigest(), zone: l, mostADay: usualMost}
	if s.digest == pb.Digest_DIGEST_UNSPECIFIED {
		s.digest = pb.Digest_DIGEST_IMMEDIATE
	}
	if d.MostADay != nil {
		s.mostADay = int(d.GetMostADay())
	}
	if d.GetQuietFrom() != "" {
		if s.quiet.from, err = parseTimeOfDay(d.GetQuietFrom()); err == nil {
			s.quiet.until, err = parseTimeOfDay(d.GetQuietUntil())
		}
	}
	return s, err
}

// wantsEmail tells whether alerts are to go by e-mail.
func wantsEmail(d *pb.Delivery) bool {
	return d.GetEmail() != "" && d.GetDigest() != pb.Digest_DIGEST_NONE
}
