package deliver

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"errors"
	"math/big"
	"net"
	"strings"
	"testing"
	"time"

	"github.com/emersion/go-sasl"
	"github.com/emersion/go-smtp"

	pb "heirpress/proto/heirpress/v1"
)

// ourselves is a certificate for this machine, and the pool that trusts it.
func ourselves(t *testing.T) (tls.Certificate, *x509.CertPool) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	self := &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "a mail server under test"}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true,
	}
	der, err := x509.CreateCertificate(rand.Reader, self, self, key.Public(), key)
	if err != nil {
		t.Fatal(err)
	}
	leaf, err := x509.ParseCertificate(der)
	if err != nil {
		t.Fatal(err)
	}
	pool := x509.NewCertPool()
	pool.AddCert(leaf)
	return tls.Certificate{Certificate: [][]byte{der}, PrivateKey: key, Leaf: leaf}, pool
}

// signing is a session that wants to know who sends.
type signing struct {
	session
	signed bool
}

func (s *signing) AuthMechanisms() []string { return []string{sasl.Plain} }

func (s *signing) Auth(string) (sasl.Server, error) {
	return sasl.NewPlainServer(func(_, user, password string) error {
		if user != "registry" || password != "p4ss" {
			return &smtp.SMTPError{Code: 535, Message: "wrong password"}
		}
		s.signed = true
		return nil
	}), nil
}

func (s *signing) Mail(string, *smtp.MailOptions) error {
	if !s.signed {
		return &smtp.SMTPError{Code: 530, Message: "sign in first"}
	}
	return nil
}

// secureServer is a mail server that wants to be signed in to, with STARTTLS or,
// if whole, with TLS from the first byte; without a certificate in the clear.
func secureServer(t *testing.T, cert *tls.Certificate, whole bool) *mailServer {
	t.Helper()
	m := idleMailServer()
	s := smtp.NewServer(smtp.BackendFunc(func(c *smtp.Conn) (smtp.Session, error) {
		return &signing{session: session{server: m, conn: c}}, nil
	}))
	s.Domain, s.ErrorLog, s.AllowInsecureAuth = "mail.example", noLog{}, true // so that it is we who refuse
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	m.addr = l.Addr().String()
	if cert != nil {
		s.TLSConfig = &tls.Config{Certificates: []tls.Certificate{*cert}}
		if whole {
			l = tls.NewListener(l, s.TLSConfig)
		}
	}
	go s.Serve(l)
	t.Cleanup(func() { s.Close() })
	return m
}

// The password goes to a server that proves who it is, and to no other.
func TestTLSAndPassword(t *testing.T) {
	cert, pool := ourselves(t)
	for name, c := range map[string]struct {
		server   *mailServer
		tls      TLS
		roots    *x509.CertPool
		password string
		says     string // empty: it is taken
	}{
		"STARTTLS":               {secureServer(t, &cert, false), StartTLS, pool, "p4ss", ""},
		"STARTTLS as the usual":  {secureServer(t, &cert, false), "", pool, "p4ss", ""},
		"TLS":                    {secureServer(t, &cert, true), WholeTLS, pool, "p4ss", ""},
		"in the clear":           {secureServer(t, nil, false), NoTLS, nil, "", "530"},
		"a stranger's STARTTLS":  {secureServer(t, &cert, false), StartTLS, nil, "p4ss", "certificate"},
		"a stranger's TLS":       {secureServer(t, &cert, true), WholeTLS, nil, "p4ss", "certificate"},
		"STARTTLS is not spoken": {secureServer(t, nil, false), StartTLS, pool, "p4ss", "STARTTLS"},
		"a wrong password":       {secureServer(t, &cert, false), StartTLS, pool, "wrong", "535"},
		"no password":            {secureServer(t, &cert, false), StartTLS, pool, "", "530"},
	} {
		mail := &Mail{Server: c.server.addr, TLS: c.tls, Roots: c.roots, From: "alerts@registry.example", PublicURL: "https://registry.example"}
		if c.password != "" {
			mail.User, mail.Password = "registry", c.password
		}
		j := &job{
			dispatch: &pb.Dispatch{Name: "dispatches/a", WantedList: list, Alerts: []string{"alerts/a1"}}, alerts: []*pb.Alert{anAlert(1)}, now: at("2026-06-03T14:00:00Z"),
			kept: &pb.KeptDelivery{Delivery: &pb.Delivery{Email: address}, UnsubscribeToken: "token"},
		}
		err := mail.send(t.Context(), j)
		if taken := len(c.server.mails()); (taken == 1) != (c.says == "") {
			t.Errorf("%s: taken %d times: %v", name, taken, err)
		}
		if c.says == "" && err != nil || c.says != "" && (err == nil || !strings.Contains(err.Error(), c.says)) {
			t.Errorf("%s: %v, want %q", name, err, c.says)
		}
		// None of it is the recipient's fault: it is tried again.
		if errors.As(err, new(permanent)) {
			t.Errorf("%s: it is given up at once: %v", name, err)
		}
	}
}
