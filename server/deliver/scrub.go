package deliver

import (
	"errors"
	"net/url"
	"regexp"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// longestError is how much of an error is kept, in characters.
const longestError = 300

var anyAddress = regexp.MustCompile(`[^\s<>"'(),;:]+@[^\s<>"'(),;:]+`)

// scrub is an error in a line, without an address: what a server answers often
// repeats whom it was about. An operator reads it, and so does a log.
func scrub(err error, d *pb.Delivery) string {
	if around := new(url.Error); errors.As(err, &around) {
		err = around.Err // it begins with the whole address
	}
	text := err.Error()
	for _, private := range privateIn(d) {
		text = regexp.MustCompile(`(?i)`+regexp.QuoteMeta(private)).ReplaceAllString(text, "(the address)")
	}
	text = anyAddress.ReplaceAllString(text, "(an address)")
	return clip(oneLine(text), longestError)
}

// privateIn is what of a delivery must not be told, the longest first.
func privateIn(d *pb.Delivery) []string {
	var all []string
	if d.GetEmail() != "" {
		all = append(all, d.GetEmail())
	}
	if u, err := url.Parse(d.GetWebhookUrl()); err == nil && u.Host != "" {
		all = append(all, d.GetWebhookUrl(), u.Host, u.Hostname())
	}
	if d.GetWebhookSecret() != "" {
		all = append(all, d.GetWebhookSecret())
	}
	return all
}

// oneLine is a text on one line and with nothing in it that cannot be seen: no
// line can be ended in it, by any sign.
func oneLine(text string) string {
	return strings.Join(strings.FieldsFunc(strings.ToValidUTF8(text, " "), unseen), " ")
}

// clip is at most so many characters of a text.
func clip(text string, most int) string {
	if r := []rune(text); len(r) > most {
		return strings.TrimSpace(string(r[:most-1])) + "…"
	}
	return text
}
