package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"heirpress/client"
	"heirpress/client/sheet"
	pb "heirpress/proto/heirpress/v1"
)

// deliverFlags are the texts of the flags of want deliver.
type deliverFlags struct {
	email, digest, quiet, zone string
	most                       int32
	webhook, secretFile        string
	off                        bool
}

func (a *app) wantDeliver() *cobra.Command {
	var f deliverFlags
	c := &cobra.Command{
		Use:   "deliver LIST",
		Short: "have the alerts of a wanted list sent by e-mail or to a webhook",
		Long: `Say where the alerts of a wanted list are sent beside the inbox: to an e-mail
address, to a webhook, or both. What is not given stays as it is; without flags it is
shown. Only a shared registry sends anything, and e-mail only if its operator has named
a mail server.

E-mails come as things turn up, or once a day or a week at 8 in the morning. What has
to go within 14 days does not wait for that, but nothing comes in the quiet hours, nor
more than --most-a-day: the rest waits for the next morning and comes in one e-mail.

A webhook hears of each alert at once: an HTTPS POST of the alert as JSON, signed with
the secret as the open specification Standard Webhooks says. --email none, --webhook
none and --quiet none take one of them away; --off takes all away and has the addresses
forgotten.`,
		Example: `  heirpress want deliver two-stoats-posters-k3q7z --email ann@example.org
  heirpress want deliver two-stoats-posters-k3q7z --digest daily --quiet 22:00-07:00 --time-zone America/Detroit --most-a-day 5
  heirpress want deliver two-stoats-posters-k3q7z --webhook https://example.org/alerts --secret-file secret.txt
  heirpress want deliver two-stoats-posters-k3q7z --off`,
		Args: words(1, 1, "the ID of a wanted list; heirpress want list shows them"),
		RunE: func(c *cobra.Command, args []string) error {
			change, err := f.change(c)
			if err != nil {
				return wrongUsage(c, err.Error())
			}
			return a.with(c.Context(), func(conn *client.Client) error { return a.deliver(c.Context(), conn, args[0], f.off, change) })
		},
	}
	c.Flags().StringVar(&f.email, "email", "", "one e-mail `address`, or none")
	c.Flags().StringVar(&f.digest, "digest", "", "`when` e-mails come: immediate, daily, weekly or none")
	c.Flags().StringVar(&f.quiet, "quiet", "", "the `hours` in which no e-mail comes, as 22:00-07:00, or none")
	c.Flags().StringVar(&f.zone, "time-zone", "", "the `zone` of those hours, as America/Detroit")
	c.Flags().Int32Var(&f.most, "most-a-day", 0, "the most e-mails in a day, a `number` from 1 to 100; usually 10")
	c.Flags().StringVar(&f.webhook, "webhook", "", "an https `address` that alerts are posted to, or none")
	c.Flags().StringVar(&f.secretFile, "secret-file", "", "a `file` with the secret that webhooks are signed with, 24 to 200 characters")
	c.Flags().BoolVar(&f.off, "off", false, "send nothing any more, and forget the addresses")
	return c
}

// A deliverChange is what one flag changes of a delivery.
type deliverChange struct {
	flag string
	read func(*deliverFlags) (func(*pb.Delivery), error)
}

var deliverChanges = []deliverChange{
	{"email", func(f *deliverFlags) (func(*pb.Delivery), error) {
		return set(orNone(f.email), func(d *pb.Delivery) *string { return &d.Email }), nil
	}},
	{"digest", func(f *deliverFlags) (func(*pb.Delivery), error) {
		digest, err := sheet.ParseDigest(f.digest)
		return set(digest, func(d *pb.Delivery) *pb.Digest { return &d.Digest }), err
	}},
	{"quiet", func(f *deliverFlags) (func(*pb.Delivery), error) {
		from, until, err := sheet.ParseQuiet(f.quiet)
		return func(d *pb.Delivery) { d.QuietFrom, d.QuietUntil = from, until }, err
	}},
	{"time-zone", func(f *deliverFlags) (func(*pb.Delivery), error) {
		return set(f.zone, func(d *pb.Delivery) *string { return &d.TimeZone }), nil
	}},
	{"most-a-day", func(f *deliverFlags) (func(*pb.Delivery), error) {
		return set(&f.most, func(d *pb.Delivery) **int32 { return &d.MostADay }), nil
	}},
	{"webhook", func(f *deliverFlags) (func(*pb.Delivery), error) {
		return set(orNone(f.webhook), func(d *pb.Delivery) *string { return &d.WebhookUrl }), nil
	}},
	{"secret-file", func(f *deliverFlags) (func(*pb.Delivery), error) {
		secret, err := readSecret(f.secretFile)
		return set(secret, func(d *pb.Delivery) *string { return &d.WebhookSecret }), err
	}},
}

// change is what the flags that were given change of a delivery; nil if there are
// none.
func (f *deliverFlags) change(c *cobra.Command) (func(*pb.Delivery), error) {
	var all []func(*pb.Delivery)
	for _, one := range deliverChanges {
		if !c.Flags().Changed(one.flag) {
			continue
		}
		change, err := one.read(f)
		if err != nil {
			return nil, fmt.Errorf("--%s: %w", one.flag, err)
		}
		all = append(all, change)
	}
	switch {
	case len(all) == 0:
		return nil, nil
	case f.off:
		return nil, errors.New("--off takes all away: leave the other flags out")
	}
	return func(d *pb.Delivery) {
		for _, change := range all {
			change(d)
		}
	}, nil
}

// set puts a value into a field.
func set[T any](v T, at func(*pb.Delivery) *T) func(*pb.Delivery) {
	return func(d *pb.Delivery) { *at(d) = v }
}

// orNone is a text, and nothing for the word none.
func orNone(text string) string {
	if strings.EqualFold(text, "none") {
		return ""
	}
	return text
}

func readSecret(path string) (string, error) {
	body, err := os.ReadFile(path)
	if err != nil {
		return "", err
	}
	secret := strings.TrimRight(string(body), "\r\n")
	if secret == "" {
		return "", fmt.Errorf("%s is empty: it should hold the secret", path)
	}
	return secret, nil
}

// deliver shows the delivery of a list, after it was changed if it is to be.
func (a *app) deliver(ctx context.Context, conn *client.Client, list string, off bool, change func(*pb.Delivery)) error {
	if off {
		if err := conn.KeepToInbox(ctx, list); err != nil {
			return err
		}
		a.note("Nothing is sent for %s any more, and the addresses are forgotten. What turns up is kept: heirpress alerts shows it.", list)
		return nil
	}
	d, notes, err := conn.Delivery(ctx, list)
	if err == nil && change != nil {
		change(d)
		d, notes, err = conn.Deliver(ctx, list, d)
	}
	if err != nil {
		return err
	}
	return a.printDelivery(d, notes)
}

func (a *app) printDelivery(d *pb.Delivery, notes []string) error {
	if a.json {
		if err := a.printJSON(d); err != nil {
			return err
		}
	} else {
		for _, line := range deliveryLines(d) {
			a.printf("  %s\n", line)
		}
	}
	for _, n := range notes {
		a.note("%s", n)
	}
	return nil
}

var digestWords = map[pb.Digest]string{
	pb.Digest_DIGEST_UNSPECIFIED: "as things turn up",
	pb.Digest_DIGEST_IMMEDIATE:   "as things turn up",
	pb.Digest_DIGEST_DAILY:       "once a day at 8:00",
	pb.Digest_DIGEST_WEEKLY:      "once a week, on Monday at 8:00",
}

// deliveryLines is where and when alerts are sent, in plain words.
func deliveryLines(d *pb.Delivery) []string {
	var lines []string
	switch {
	case d.GetEmail() == "":
	case d.GetDigest() == pb.Digest_DIGEST_NONE && d.GetEmailStoppedTime() != nil:
		lines = append(lines, "e-mail to "+d.GetEmail()+" is off: it was turned off from within an e-mail")
	case d.GetDigest() == pb.Digest_DIGEST_NONE:
		lines = append(lines, "e-mail to "+d.GetEmail()+" is off")
	default:
		lines = append(lines, emailLine(d))
	}
	if d.GetWebhookUrl() != "" {
		lines = append(lines, "webhook to "+d.GetWebhookUrl()+", signed, each alert at once")
	}
	if len(lines) == 0 {
		return []string{"nothing is sent: what turns up is kept, and heirpress alerts shows it"}
	}
	return lines
}

func emailLine(d *pb.Delivery) string {
	line := "e-mail to " + d.GetEmail() + " " + digestWords[d.GetDigest()]
	if d.GetQuietFrom() != "" {
		line += ", not from " + d.GetQuietFrom() + " to " + d.GetQuietUntil()
	}
	zone := d.GetTimeZone()
	if zone == "" {
		zone = "UTC"
	}
	most := int32(10)
	if d.MostADay != nil {
		most = d.GetMostADay()
	}
	return fmt.Sprintf("%s, by the clock of %s, at most %d a day", line, zone, most)
}
