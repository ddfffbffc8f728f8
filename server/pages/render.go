package pages

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"html/template"
	"net/http"
	"strings"
	"unicode"
	"unicode/utf8"
)

//go:embed html/*.html
var files embed.FS

//go:embed style.css
var style []byte

// stylePath has what is in the style in its name, so that a browser may keep it.
var stylePath = func() string {
	sum := sha256.Sum256(style)
	return "/style-" + hex.EncodeToString(sum[:6]) + ".css"
}()

func serveStyle(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/css; charset=utf-8")
	w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	w.Write(style) //nolint:errcheck // whoever asked has gone
}

// view is what a page shows.
type view struct {
	// Title is the page's own, and its heading.
	Title string
	// Here is the place in the list of pages that it belongs to.
	Here string
	// Feed is the address of a feed of the same, if there is one.
	Feed string
	// Body is what the page is about.
	Body any

	// Given to every page.

	// Style is the address of the style.
	Style string
	// Accounts tells that people sign in, and SignedIn that this one has.
	Accounts, SignedIn bool
}

// Mine tells whether there is something here that is the visitor's own.
func (v view) Mine() bool { return !v.Accounts || v.SignedIn }

// templates are the pages by name, each with the frame around it.
var templates = func() map[string]*template.Template {
	frame := template.Must(template.New("").Funcs(template.FuncMap{
		"paragraphs": paragraphs, "sentence": sentence,
	}).ParseFS(files, "html/frame.html", "html/parts.html"))
	all := map[string]*template.Template{}
	entries, err := files.ReadDir("html")
	if err != nil {
		panic(err) // it is embedded
	}
	for _, e := range entries {
		name := strings.TrimSuffix(e.Name(), ".html")
		all[name] = template.Must(template.Must(frame.Clone()).ParseFS(files, "html/"+e.Name()))
	}
	return all
}()

// show writes a page.
func (s *site) show(v *visit, status int, name string, p view) {
	p.Style, p.Accounts, p.SignedIn = stylePath, s.Accounts, v.token != ""
	var body bytes.Buffer
	if err := templates[name].ExecuteTemplate(&body, "frame", p); err != nil {
		s.Log.Error("pages: no page", "page", name, "error", err)
		http.Error(v.w, internal.title+". "+internal.why, http.StatusInternalServerError)
		return
	}
	v.w.Header().Set("Content-Type", "text/html; charset=utf-8")
	v.w.WriteHeader(status)
	v.w.Write(body.Bytes()) //nolint:errcheck // whoever asked has gone
}

// paragraphs parts a text at its empty lines.
func paragraphs(text string) (all []string) {
	text = strings.ReplaceAll(text, "\r\n", "\n")
	for p := range strings.SplitSeq(text, "\n\n") {
		if p = strings.TrimSpace(p); p != "" {
			all = append(all, p)
		}
	}
	return all
}

// sentence begins a text with a capital and ends it with a stop.
func sentence(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	if size == 0 {
		return ""
	}
	text = string(unicode.ToUpper(first)) + text[size:]
	if !strings.HasSuffix(text, ".") && !strings.HasSuffix(text, "?") {
		text += "."
	}
	return text
}

// sentenceCase begins a text with a capital.
func sentenceCase(text string) string { return strings.TrimSuffix(sentence(text), ".") }
