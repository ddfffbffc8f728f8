package form

import (
	"fmt"
	"html"
	"math"
	"strings"
)

// Drawing is a picture of what to measure.
type Drawing struct {
	// ID is what questions call it by, and unique on a page.
	ID string
	// Title and Desc are what a screen reader says.
	Title, Desc string

	width, height float64
	body          strings.Builder
}

// SVG is the drawing by itself, with its title and description.
func (d *Drawing) SVG() string {
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %g" role="img" aria-labelledby="%[3]s-t %[3]s-d">
<title id="%[3]s-t">%[4]s</title>
<desc id="%[3]s-d">%[5]s</desc>
%[6]s</svg>`, d.width, d.height, d.ID, html.EscapeString(d.Title), html.EscapeString(d.Desc), d.body.String())
}

// paints are how things are drawn. They are told apart by their labels, so that
// nothing hangs on the shade.
var paints = map[string]string{
	"iron":  `fill="#dcdcdc" stroke="#222" stroke-width="2"`,
	"dark":  `fill="#b4b4b4" stroke="#222" stroke-width="2"`,
	"wood":  `fill="#f1e8d6" stroke="#222" stroke-width="2"`,
	"paper": `fill="#fff" stroke="#222" stroke-width="2"`,
	"thin":  `fill="none" stroke="#222" stroke-width="1.5"`,
	"thick": `fill="none" stroke="#222" stroke-width="5" stroke-linecap="round"`,
	"ink":   `fill="#222"`,
}

func (d *Drawing) add(format string, args ...any) { fmt.Fprintf(&d.body, format+"\n", args...) }

func (d *Drawing) rect(x, y, w, h float64, paint string) {
	d.add(`<rect x="%g" y="%g" width="%g" height="%g" %s/>`, x, y, w, h, paints[paint])
}

func (d *Drawing) circle(x, y, r float64, paint string) {
	d.add(`<circle cx="%g" cy="%g" r="%g" %s/>`, x, y, r, paints[paint])
}

func (d *Drawing) line(x1, y1, x2, y2 float64, paint string) {
	d.add(`<line x1="%.4g" y1="%.4g" x2="%.4g" y2="%.4g" %s/>`, x1, y1, x2, y2, paints[paint])
}

// shape is a closed outline through x, y, x, y…
func (d *Drawing) shape(paint string, points ...float64) {
	var b strings.Builder
	for i := 0; i < len(points); i += 2 {
		fmt.Fprintf(&b, "%g,%g ", points[i], points[i+1])
	}
	d.add(`<polygon points="%s" %s/>`, strings.TrimSpace(b.String()), paints[paint])
}

// letterSize is the size of words in a drawing.
const letterSize = 17

// text writes words; anchor is start, middle or end.
func (d *Drawing) text(x, y float64, anchor, words string) {
	d.add(`<text x="%g" y="%g" font-size="%d" font-family="sans-serif" text-anchor="%s" fill="#111" stroke="#fff" stroke-width="4" paint-order="stroke">%s</text>`,
		x, y, letterSize, anchor, html.EscapeString(words))
}

// reversed draws large letters as they stand on type, the wrong way round.
func (d *Drawing) reversed(x, y, size float64, words string) {
	d.add(`<text transform="translate(%g %g) scale(-1 1)" font-size="%g" font-family="serif" font-weight="bold" text-anchor="middle" fill="#222">%s</text>`,
		x, y, size, html.EscapeString(words))
}

// cross strikes a measure out.
func (d *Drawing) cross(x, y float64) {
	d.line(x-12, y-12, x+12, y+12, "thick")
	d.line(x+12, y-12, x-12, y+12, "thick")
}

// name writes words beside a thing, with a line to a dot on it.
func (d *Drawing) name(x, y float64, anchor, words string, toX, toY float64) {
	from := x
	switch anchor {
	case "start":
		from -= 5
	case "end":
		from += 5
	}
	d.line(from, y-letterSize*0.35, toX, toY, "thin")
	d.circle(toX, toY, 3.5, "ink")
	d.text(x, y, anchor, words)
}

// across is a measure from left to right, with its words above the line, or
// under it if below is true.
func (d *Drawing) across(x1, x2, y float64, words string, below bool) {
	d.arrow(x1, y, x2, y)
	at := y - 8
	if below {
		at = y + letterSize + 4
	}
	d.text((x1+x2)/2, at, "middle", words)
}

// upright is a measure from top to bottom, with its words to the right of it,
// or to the left if before is true.
func (d *Drawing) upright(x, y1, y2 float64, words string, before bool) {
	d.arrow(x, y1, x, y2)
	at, anchor := x+9, "start"
	if before {
		at, anchor = x-9, "end"
	}
	d.text(at, (y1+y2)/2+letterSize*0.35, anchor, words)
}

// arrow is a line with a head and a stop at both ends.
func (d *Drawing) arrow(x1, y1, x2, y2 float64) {
	d.line(x1, y1, x2, y2, "thin")
	d.head(x1, y1, x2-x1, y2-y1)
	d.head(x2, y2, x1-x2, y1-y2)
}

// head is the head of an arrow that points to x, y and comes from along dx, dy.
func (d *Drawing) head(x, y, dx, dy float64) {
	long := math.Hypot(dx, dy)
	dx, dy = dx/long, dy/long
	const back, side = 11, 4.5
	d.add(`<polygon points="%.4g,%.4g %.4g,%.4g %.4g,%.4g" %s/>`, x, y,
		x+back*dx-side*dy, y+back*dy+side*dx, x+back*dx+side*dy, y+back*dy-side*dx, paints["ink"])
	d.line(x-8*dy, y+8*dx, x+8*dy, y-8*dx, "thin")
}
