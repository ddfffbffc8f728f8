package main

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"strings"
	"time"

	"heirpress/server/deliver"
)

// sending is what a call says of the sending of alerts.
type sending struct {
	mail         deliver.Mail
	tls          string
	passwordFile string
	private      bool
	gather       time.Duration
	unasked      bool
}

func (s *sending) flags(f *flag.FlagSet) {
	f.StringVar(&s.mail.Server, "smtp", "", "send alerts by e-mail through the mail server at this `host:port`; without it no e-mail is sent")
	f.StringVar(&s.mail.User, "smtp-user", "", "the `name` to sign in with at the mail server")
	f.StringVar(&s.passwordFile, "smtp-password-file", "", "a `file` that holds the password for it and nothing else")
	f.StringVar(&s.tls, "smtp-tls", string(deliver.StartTLS), "`how` the mail server is spoken to: starttls, tls or none")
	f.StringVar(&s.mail.From, "mail-from", "", "the `sender` of e-mails, as alerts@example.org")
	f.StringVar(&s.mail.PublicURL, "public-url", "", "the `address` under which --web is reached from outside, as https://example.org")
	f.DurationVar(&s.gather, "gather", time.Minute, "how `long` an e-mail waits for more to come, so that what comes together goes together")
	f.BoolVar(&s.unasked, "unasked-email", false, "send alerts to addresses without asking there first whose they are: for seekers whom you know")
	f.BoolVar(&s.private, "allow-private-webhooks", false, "allow webhooks to private addresses and without TLS")
}

// config is how a registry sends alerts. web is the address of its pages: an
// e-mail must carry the way to be rid of it.
func (s *sending) config(web string) (*deliver.Config, error) {
	c := &deliver.Config{Rules: deliver.Rules{Private: s.private}, Gather: s.gather, Unasked: s.unasked}
	if s.gather <= 0 {
		return nil, fmt.Errorf("--gather is %v: say how long, as 1m", s.gather)
	}
	if s.mail.Server == "" {
		return c, s.unused()
	}
	if s.mail.From == "" || s.mail.PublicURL == "" || web == "" {
		return nil, errors.New("--smtp needs --mail-from, --public-url and --web too: an e-mail has to say who sends it and how to turn it off")
	}
	if err := s.readPassword(); err != nil {
		return nil, err
	}
	s.mail.TLS = deliver.TLS(s.tls)
	c.Mail = &s.mail
	return c, s.mail.Check()
}

// unused refuses what has no meaning without a mail server.
func (s *sending) unused() error {
	if s.mail.User != "" || s.passwordFile != "" || s.mail.From != "" || s.unasked {
		return errors.New("there is something said of e-mail, and no --smtp to send it through")
	}
	return nil
}

func (s *sending) readPassword() error {
	if s.passwordFile == "" {
		return nil
	}
	body, err := os.ReadFile(s.passwordFile)
	if err != nil {
		return fmt.Errorf("the mail server's password cannot be read: %w", err)
	}
	if s.mail.Password = strings.TrimRight(string(body), "\r\n"); s.mail.Password == "" {
		return fmt.Errorf("%s is empty: it should hold the mail server's password", s.passwordFile)
	}
	return nil
}
