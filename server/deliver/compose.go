package deliver

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	htmltemplate "html/template"
	"strings"
	"text/template"
	"time"

	gomail "github.com/wneessen/go-mail"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/search/trade"
)

// mostInFull is how many alerts an e-mail tells in full; the rest are counted.
const mostInFull = 10

// longestSubject is how long a subject may be, in characters.
const longestSubject = 150

var (
	//go:embed email.txt
	emailText string
	//go:embed email.html
	emailHTML string

	functions = map[string]any{"line": oneLine, "phrases": notice.Phrases}
	asText    = template.Must(template.New("email.txt").Funcs(functions).Parse(emailText))
	asHTML    = htmltemplate.Must(htmltemplate.New("email.html").Funcs(functions).Parse(emailHTML))
)

// email is what an e-mail says.
type email struct {
	Subject string
	Opening string
	Notices []notice.Notice
	// More is how many alerts are not told in full, and SeeAll what to type for
	// them.
	More   int
	SeeAll string
	// List is the title of the wanted list.
	List string
	// Stop is the address that turns e-mail off, and StopCommand what to type.
	Stop, StopCommand string
}

//go:embed confirm.txt
var confirmText string

var asConfirmText = template.Must(template.New("confirm.txt").Funcs(functions).Parse(confirmText))

// confirmSubject is what asks for a confirmation. It names nothing that a stranger
// typed: who has not asked for it must not be told anything by way of it.
const confirmSubject = "Is this address yours? Alerts of things wanted for a print shop"

// composeQuestion writes the e-mail that asks for a confirmation.
func (m *Mail) composeQuestion(j *job) (*gomail.Msg, error) {
	var text bytes.Buffer
	err := asConfirmText.Execute(&text, map[string]string{
		"Confirm": confirmURL(m.PublicURL, j.kept.GetUnsubscribeToken(), j.kept.GetConfirmCode()),
		"Until":   j.kept.GetConfirmByTime().AsTime().Format("2 January 2006, 15:04 MST"),
		"Stop":    stopURL(m.PublicURL, j.kept.GetUnsubscribeToken()),
	})
	if err != nil {
		return nil, err
	}
	return m.message(j, confirmSubject, text.String())
}

// compose writes the e-mail of a job. The same job on the same day gives the same
// e-mail, but for the boundary between its parts.
func (m *Mail) compose(j *job) (*gomail.Msg, error) {
	if j.dispatch.GetConfirmation() {
		return m.composeQuestion(j)
	}
	if len(j.alerts) == 0 {
		return nil, errors.New("there are no such alerts any more")
	}
	e, err := m.write(j)
	if err != nil {
		return nil, err
	}
	var text, html bytes.Buffer
	if err := errors.Join(asText.Execute(&text, e), asHTML.Execute(&html, e)); err != nil {
		return nil, err
	}
	msg, err := m.message(j, e.Subject, text.String())
	if err != nil {
		return nil, err
	}
	msg.AddAlternativeString(gomail.TypeTextHTML, html.String())
	return msg, nil
}

// message is an e-mail of a job in plain text, with what every one carries.
func (m *Mail) message(j *job, subject, text string) (*gomail.Msg, error) {
	msg := gomail.NewMsg(gomail.WithNoDefaultUserAgent())
	if err := errors.Join(msg.From(m.From), msg.To(j.kept.GetDelivery().GetEmail())); err != nil {
		return nil, err
	}
	msg.Subject(subject)
	msg.SetMessageIDWithValue(ID(j.dispatch) + "@" + m.domain())
	msg.SetDateWithValue(j.dispatch.GetCreateTime().AsTime())
	msg.SetGenHeader("Auto-Submitted", "auto-generated") // RFC 3834
	msg.SetGenHeaderPreformatted(gomail.HeaderListUnsubscribe, "<"+stopURL(m.PublicURL, j.kept.GetUnsubscribeToken())+">")
	msg.SetListUnsubscribePost()
	msg.SetBodyString(gomail.TypeTextPlain, text)
	return msg, nil
}

// write says what a job's e-mail says, on the seeker's own calendar.
func (m *Mail) write(j *job) (email, error) {
	in, err := zoneOf(j.kept.GetDelivery())
	if err != nil {
		return email{}, err
	}
	today := j.now.In(in)
	list := strings.TrimPrefix(j.dispatch.GetWantedList(), "wantedLists/")
	e := email{
		Subject: subject(j.alerts, len(j.dispatch.GetAlerts()), today), Opening: opening(len(j.dispatch.GetAlerts())),
		More: len(j.dispatch.GetAlerts()) - len(j.alerts), SeeAll: "heirpress alerts --list " + list,
		List: j.title, Stop: stopURL(m.PublicURL, j.kept.GetUnsubscribeToken()), StopCommand: "heirpress want deliver " + list + " --off",
	}
	for _, a := range j.alerts {
		e.Notices = append(e.Notices, notice.Of(a, trade.US, today))
	}
	return e, nil
}

// subject says what has turned up in a line: for one alert what and where, for
// several how many, and first whether it is urgent.
func subject(alerts []*pb.Alert, all int, today time.Time) string {
	first := alerts[0].GetLot()
	text := fmt.Sprintf("%s, in %s", first.GetTitle(), first.GetTown().GetLabel())
	if all > 1 {
		text = fmt.Sprintf("%d things you want have turned up: %s, and more", all, first.GetTitle())
	}
	if notice.IsUrgent(first, today) {
		text = "Urgent, to go by " + trade.FormatDate(first.GetClearBy()) + ": " + text
	}
	return clip(plainWords(oneLine(text)), longestSubject)
}

// plainWords keeps a text from being taken for one that is already encoded as
// heads of e-mails are (RFC 2047): the encoder lets such a text through as it is,
// and a reader's program would undo it, with whatever it holds.
func plainWords(text string) string { return strings.ReplaceAll(text, "=?", "= ?") }

func opening(all int) string {
	if all == 1 {
		return "Something you want has turned up."
	}
	return fmt.Sprintf("%d things you want have turned up: the urgent first, and then the best fit.", all)
}
