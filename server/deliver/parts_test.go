package deliver

import (
	"io"
	"mime"
	"mime/multipart"
	"mime/quotedprintable"
	"net/mail"
	"strings"
	"testing"
)

// parts are the text and the HTML of an e-mail.
func parts(t testing.TB, m *mail.Message) (text, html string) {
	t.Helper()
	kind, params, err := mime.ParseMediaType(m.Header.Get("Content-Type"))
	if err != nil || kind != "multipart/alternative" {
		t.Fatalf("it is %q, %v", kind, err)
	}
	var bodies []string
	for r := multipart.NewReader(m.Body, params["boundary"]); ; {
		p, err := r.NextRawPart()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		body, err := io.ReadAll(quotedprintable.NewReader(p))
		if err != nil {
			t.Fatal(err)
		}
		bodies = append(bodies, strings.ReplaceAll(string(body), "\r\n", "\n"))
	}
	if len(bodies) != 2 {
		t.Fatalf("it has %d parts", len(bodies))
	}
	return bodies[0], bodies[1]
}
