package deliver

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"net"
	"net/mail"
	"net/netip"
	"net/url"
	"strconv"
	"strings"
	"time"

	gomail "github.com/wneessen/go-mail"
)

// TLS says how a mail server is spoken to.
type TLS string

// The ways to speak to a mail server.
const (
	// StartTLS begins in the clear and goes on with TLS, or not at all.
	StartTLS TLS = "starttls"
	// WholeTLS is TLS from the first byte.
	WholeTLS TLS = "tls"
	// NoTLS is for a server on this machine or a network of one's own.
	NoTLS TLS = "none"
)

// Mail is how e-mail is sent. All but User, Password and the fields for tests is
// required; Check tells.
type Mail struct {
	// Server is the mail server's host:port.
	Server string
	// User and Password sign in there. Empty: nobody does.
	User, Password string
	// TLS is how it is spoken to; empty is StartTLS.
	TLS TLS
	// From is the sender, as "alerts@example.org" or "heirpress <alerts@example.org>".
	From string
	// PublicURL is where the page is reached on which e-mail is turned off, as
	// "https://example.org".
	PublicURL string
	// Step is how long any one step of the conversation may take; 0 is 30 s.
	Step time.Duration
	// Roots are whom to trust beside the machine's own; nil: nobody.
	Roots *x509.CertPool
}

const usualStep = 30 * time.Second

// Check tells what keeps e-mail from being sent this way.
func (m *Mail) Check() error {
	host, port, err := net.SplitHostPort(m.Server)
	if n, bad := strconv.Atoi(port); err != nil || host == "" || bad != nil || n < 1 || n > 65535 {
		return fmt.Errorf("the mail server is %q: write it as host:port, as mail.example.org:587", m.Server)
	}
	if m.TLS != "" && m.TLS != StartTLS && m.TLS != WholeTLS && m.TLS != NoTLS {
		return fmt.Errorf("the mail server's TLS is %q: say starttls, tls or none", m.TLS)
	}
	if m.User != "" && m.TLS == NoTLS {
		return errors.New("the password would go to the mail server in the clear: use starttls or tls")
	}
	if (m.User == "") != (m.Password == "") {
		return errors.New("to sign in at the mail server takes both a user and a password")
	}
	if _, err := mail.ParseAddress(m.From); err != nil {
		return fmt.Errorf("the sender is %q: write it as alerts@example.org", m.From)
	}
	return checkPublicURL(m.PublicURL)
}

func onThisMachine(host string) bool {
	ip, err := netip.ParseAddr(host)
	return host == "localhost" || err == nil && ip.IsLoopback()
}

func checkPublicURL(text string) error {
	u, err := url.Parse(text)
	if err != nil || u.Host == "" || u.RawQuery != "" || u.Fragment != "" || u.User != nil ||
		u.Scheme != "https" && !(u.Scheme == "http" && onThisMachine(u.Hostname())) {
		return fmt.Errorf("the public address is %q: write it as https://example.org, where the page is reached on which e-mail is turned off", text)
	}
	return nil
}

// send sends a job as an e-mail. Only what the server says for good of this
// recipient or this e-mail is permanent: a server that is away, that does not
// take us in, or that says to come back, is tried again.
func (m *Mail) send(ctx context.Context, j *job) error {
	msg, err := m.compose(j)
	if err != nil {
		return permanent{err}
	}
	client, err := m.client()
	if err != nil {
		return err
	}
	err = client.DialAndSendWithContext(ctx, msg)
	if msg.IsDelivered() { // what went wrong afterwards does not take it back
		return nil
	}
	refused := new(gomail.SendError)
	if errors.As(err, &refused) && forGood(refused) {
		return permanent{err}
	}
	return err
}

func forGood(e *gomail.SendError) bool {
	switch e.Reason {
	case gomail.ErrSMTPRcptTo, gomail.ErrSMTPData, gomail.ErrSMTPDataClose:
		return e.ErrorCode() >= 500
	}
	return false
}

func (m *Mail) client() (*gomail.Client, error) {
	host, port, err := net.SplitHostPort(m.Server)
	if err != nil {
		return nil, err
	}
	n, err := strconv.Atoi(port)
	if err != nil {
		return nil, err
	}
	step := m.Step
	if step == 0 {
		step = usualStep
	}
	options := []gomail.Option{
		gomail.WithPort(n), gomail.WithTimeout(step), gomail.WithHELO(m.domain()),
		gomail.WithTLSConfig(&tls.Config{ServerName: host, RootCAs: m.Roots, MinVersion: tls.VersionTLS12}),
	}
	switch m.TLS {
	case WholeTLS:
		options = append(options, gomail.WithSSL())
	case NoTLS:
		options = append(options, gomail.WithTLSPolicy(gomail.NoTLS))
	default:
		options = append(options, gomail.WithTLSPolicy(gomail.TLSMandatory))
	}
	if m.User != "" {
		options = append(options, gomail.WithSMTPAuth(gomail.SMTPAuthAutoDiscover), gomail.WithUsername(m.User), gomail.WithPassword(m.Password))
	}
	return gomail.NewClient(host, options...)
}

// domain is that of the sender; it is in the Message-ID.
func (m *Mail) domain() string {
	a, err := mail.ParseAddress(m.From)
	if err != nil {
		return "localhost"
	}
	return a.Address[strings.LastIndexByte(a.Address, '@')+1:]
}
