package rigging

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"

	"heirpress/search/trade"
)

//go:embed page.html
var pageHTML string

var pageTemplate = template.Must(template.New("page").Funcs(template.FuncMap{
	// n writes a measure of the picture.
	"n": func(v float64) string { return fmt.Sprintf("%.1f", v) },
}).Parse(pageHTML))

// HTML prints a brief as one page that asks nothing of the network: its style is
// in it, and its pictures are drawn to scale in SVG with their words beside them.
// It is well-formed XML as well. The error is the writer's.
func HTML(w io.Writer, b *Brief, u trade.Units) error {
	return pageTemplate.Execute(w, pageOf(b, u))
}

// HTMLPart prints what of HTML stands beneath the heading, for a page that has its
// own, and returns that heading. The classes that its pictures are styled by are
// those of page.html.
func HTMLPart(w io.Writer, b *Brief, u trade.Units) (heading string, err error) {
	p := pageOf(b, u)
	return p.Title, pageTemplate.ExecuteTemplate(w, "brief", p)
}
