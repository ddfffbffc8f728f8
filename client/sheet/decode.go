package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// MaxBytes is the largest file that is read: 16 MiB.
const MaxBytes = 16 << 20

// text is the content of a file.
type text struct {
	// body is in UTF-8, with "\n" as its line end.
	body string
	// mark is true if the file opened with a byte order mark.
	mark bool
	// guessed is true if the file was not Unicode and was taken as Windows-1252.
	guessed bool
}

// readText reads a whole file and finds out how it is encoded.
func readText(r io.Reader) (text, error) {
	raw, err := readRaw(r)
	if err != nil {
		return text{}, err
	}
	if bytes.HasPrefix(raw, []byte("PK\x03\x04")) {
		return text{}, errors.New("is a workbook or an archive, whatever its name says: save it as CSV, or name it .xlsx if it is one")
	}
	t, err := decode(raw)
	if err != nil {
		return text{}, err
	}
	t.body = newlines(t.body)
	if strings.TrimSpace(t.body) == "" {
		return text{}, errors.New("is empty")
	}
	return t, nil
}

// readRaw reads a whole file, unless it is too large.
func readRaw(r io.Reader) ([]byte, error) {
	raw, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("cannot be read: %w", err)
	}
	if len(raw) > MaxBytes {
		return nil, fmt.Errorf("is larger than %d MiB: split it into several files", MaxBytes>>20)
	}
	return raw, nil
}

// decode turns the bytes of a file into UTF-8.
func decode(raw []byte) (text, error) {
	if body, found := bytes.CutPrefix(raw, []byte("\xef\xbb\xbf")); found {
		t, err := decode(body)
		t.mark = true
		return t, err
	}
	if bytes.HasPrefix(raw, []byte("\xff\xfe")) || bytes.HasPrefix(raw, []byte("\xfe\xff")) {
		body, err := unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM).NewDecoder().Bytes(raw)
		return text{body: string(body), mark: true}, err
	}
	if utf8.Valid(raw) {
		return text{body: string(raw)}, nil
	}
	body, err := charmap.Windows1252.NewDecoder().Bytes(raw)
	return text{body: string(body), guessed: true}, err
}

// newlines makes every line end "\n".
func newlines(s string) string {
	return strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(s)
}
