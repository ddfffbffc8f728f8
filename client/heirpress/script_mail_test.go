package main

import (
	"bytes"
	"io"
	"net"
	"net/http"
	"os"
	"sync"

	"github.com/emersion/go-smtp"
	"github.com/rogpeppe/go-internal/testscript"
)

// A box is a file to which what arrives is written.
type box struct {
	mu   sync.Mutex
	path string
}

func (b *box) put(body []byte) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	f, err := os.OpenFile(b.path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	defer f.Close()
	_, err = f.Write(append(body, '\n'))
	return err
}

// mailserver starts a mail server on this machine that writes what it takes to a
// file; with a second word, it says of everybody that there is no such person.
func mailserver(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 1 || len(args) > 2 {
		ts.Fatalf("usage: mailserver FILE [refuses]")
	}
	b := &box{path: ts.MkAbs(args[0])}
	ts.Check(b.put(nil))
	s := smtp.NewServer(smtp.BackendFunc(func(*smtp.Conn) (smtp.Session, error) { return &mailSession{b, len(args) > 1}, nil }))
	l, err := net.Listen("tcp", "127.0.0.1:0")
	ts.Check(err)
	go s.Serve(l)
	ts.Defer(func() { s.Close() })
	ts.Setenv("SMTP", l.Addr().String())
}

type mailSession struct {
	box     *box
	refuses bool
}

func (s *mailSession) Mail(string, *smtp.MailOptions) error { return nil }
func (s *mailSession) Reset()                               {}
func (s *mailSession) Logout() error                        { return nil }

func (s *mailSession) Rcpt(to string, _ *smtp.RcptOptions) error {
	if s.refuses {
		return &smtp.SMTPError{Code: 550, Message: "<" + to + ">: no such person"}
	}
	return nil
}

func (s *mailSession) Data(r io.Reader) error {
	body, err := io.ReadAll(r)
	if err != nil {
		return err
	}
	return s.box.put(bytes.ReplaceAll(body, []byte("=\r\n"), nil)) // long lines, as they were before they were cut for the way
}

// hook starts a web server on this machine that writes what is posted to a file,
// a line each.
func hook(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: hook FILE")
	}
	b := &box{path: ts.MkAbs(args[0])}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	ts.Check(err)
	s := &http.Server{Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		body, err := io.ReadAll(r.Body)
		if err != nil || b.put(body) != nil || r.Header.Get("webhook-signature") == "" {
			w.WriteHeader(http.StatusInternalServerError)
		}
	})}
	go s.Serve(l)
	ts.Defer(func() { s.Close() })
	ts.Setenv("HOOK", "http://"+l.Addr().String()+"/")
}

// click follows an address with a method, and writes status and page to a file.
func click(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: click METHOD URL FILE")
	}
	req, err := http.NewRequest(args[0], args[1], nil)
	ts.Check(err)
	answer, err := http.DefaultClient.Do(req)
	ts.Check(err)
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), append([]byte(answer.Status+"\n"), body...), 0o600))
}
