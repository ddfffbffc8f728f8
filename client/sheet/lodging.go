package sheet

import (
	"errors"
	"fmt"
	"io"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// lodging is a wanted list, and where its alerts are to be sent if the file says.
type lodging struct {
	list     *pb.WantedList
	delivery *pb.Delivery
}

// ReadLodging is ReadWanted with what the file says under deliver; nil where it
// says nothing of it. Whether there can be such an address and such a zone is
// for the registry to say.
func ReadLodging(name string, r io.Reader, opts ...Option) (*pb.WantedList, *pb.Delivery, error) {
	l, err := readLodging(name, r, opts)
	if err != nil {
		return nil, nil, inFile(name, err)
	}
	return l.list, l.delivery, nil
}

func lodgingFields(currency string) []field[*lodging] {
	set := func(l *lodging, w *pb.WantedList) { l.list = w }
	list := allInside(func(l *lodging) *pb.WantedList { return l.list }, set, wantedFields(currency))
	return append(list, nested("deliver", func(l *lodging) **pb.Delivery { return &l.delivery }, deliveryFields))
}

var digestWords = []named[pb.Digest]{
	{pb.Digest_DIGEST_IMMEDIATE, "immediate"},
	{pb.Digest_DIGEST_DAILY, "daily"},
	{pb.Digest_DIGEST_WEEKLY, "weekly"},
	{pb.Digest_DIGEST_NONE, "none"},
}

var deliveryFields = []field[*pb.Delivery]{
	oneLine("email", 254, func(d *pb.Delivery) *string { return &d.Email }),
	wordField("digest", digestWords, func(d *pb.Delivery) *pb.Digest { return &d.Digest }),
	oneLine("time_zone", 100, func(d *pb.Delivery) *string { return &d.TimeZone }),
	scalar("quiet", func(d *pb.Delivery, s string) (err error) {
		d.QuietFrom, d.QuietUntil, err = ParseQuiet(s)
		return err
	}, quietText),
	countField("most_a_day", 1, 100, func(d *pb.Delivery) **int32 { return &d.MostADay }),
	oneLine("webhook", 2000, func(d *pb.Delivery) *string { return &d.WebhookUrl }),
}

func quietText(d *pb.Delivery) string {
	if d.GetQuietFrom() == "" {
		return ""
	}
	return d.GetQuietFrom() + "-" + d.GetQuietUntil()
}

// ParseQuiet reads quiet hours as people write them: "22:00-07:00", or "none".
func ParseQuiet(text string) (from, until string, err error) {
	if fold(text) == "none" {
		return "", "", nil
	}
	from, until, both := strings.Cut(strings.NewReplacer("–", "-", "—", "-", " to ", "-").Replace(text), "-")
	if from, until = strings.TrimSpace(from), strings.TrimSpace(until); !both || from == "" || until == "" {
		return "", "", errors.New("write when they begin and end, as 22:00-07:00, or none")
	}
	return from, until, nil
}

// ParseDigest reads how e-mails are gathered: immediate, daily, weekly or none.
func ParseDigest(text string) (pb.Digest, error) {
	for _, w := range digestWords {
		if fold(w.word) == fold(text) {
			return w.is, nil
		}
	}
	return 0, fmt.Errorf("%q is not one of %s", text, joinWords(digestWords))
}
