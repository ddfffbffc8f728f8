package chart

import (
	"fmt"
	"html"
	"io"
	"strings"
	"unicode"

	"heirpress/client/chart/internal/outline"
)

// SVG writes a map as a drawing in SVG 1.1. A map with neither an origin nor
// marks is refused: there would be nothing to see.
func SVG(w io.Writer, m Map) error {
	if m.Origin == nil && len(m.Marks) == 0 {
		return ErrEmpty
	}
	d := &drawing{m: m, v: viewOf(m), tops: map[float64]xy{}}
	d.spots = spots(m.Marks, d.v)
	d.draw()
	_, err := io.WriteString(w, d.text.String())
	return err
}

// drawing is a drawing under way.
type drawing struct {
	m     Map
	v     view
	spots []*spot
	tops  map[float64]xy // by the miles of the ring
	text  strings.Builder
}

// The looks: one ink, one colour, and water as a pale ground, so that it is as
// good printed in black.
const style = `text{font-family:Georgia,"Times New Roman",serif;fill:#1a1a1a}` +
	`.water{fill:#e4eaee;stroke:#7d8b94;stroke-width:.7;fill-rule:evenodd}` +
	`.border{fill:none;stroke:#555;stroke-width:1}.state{fill:none;stroke:#999;stroke-width:.6;stroke-dasharray:5 3}` +
	`.ring{fill:none;stroke:#9c2a1c;stroke-width:1.4}.mark{fill:#1a1a1a;stroke:#fff;stroke-width:1.2}` +
	`.home{fill:#fff;stroke:#9c2a1c;stroke-width:2.5}.halo{stroke:#fff;stroke-width:4;paint-order:stroke;stroke-linejoin:round}`

func (d *drawing) draw() {
	lines := d.list()
	height := mapHeight + 30 + lineHeight*float64(len(lines)+1)
	d.add(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.0f %.0f" role="img" aria-labelledby="t d">`, mapWidth, height)
	d.add(`<title id="t">%s</title><desc id="d">%s</desc><style>%s</style>`, plain(d.m.Title), plain(d.describe()), style)
	d.add(`<rect width="%.0f" height="%.0f" fill="#fff"/>`, mapWidth, height)
	d.add(`<svg width="%.0f" height="%.0f">`, mapWidth, mapHeight)
	d.rings()
	d.land()
	d.marks()
	d.add(`</svg><rect width="%.0f" height="%.0f" fill="none" stroke="#1a1a1a"/>`, mapWidth, mapHeight)
	for i, line := range lines {
		d.label(xy{8, mapHeight + 26 + lineHeight*float64(i)}, 15, "start", line)
	}
	d.label(xy{8, height - 8}, 11, "start", Attribution)
	d.add(`</svg>`)
}

func (d *drawing) add(format string, args ...any) { fmt.Fprintf(&d.text, format+"\n", args...) }

// rings draws how far one gets; the water that is drawn after them hides what
// lies in it.
func (d *drawing) rings() {
	if d.m.Origin == nil || len(d.m.Rings) == 0 || d.m.RoadKm == nil {
		return
	}
	g := newGrid(d.v, d.m.RoadKm)
	for i, miles := range d.m.Rings {
		var path strings.Builder
		for _, chain := range g.contour(miles) {
			d.path(&path, chain, "")
			d.top(miles, chain)
		}
		if path.Len() > 0 {
			d.add(`<path class="ring"%s d="%s"/>`, dash(i), path.String())
		}
	}
}

// top notes the highest point of a ring in the drawing, where its label goes.
func (d *drawing) top(miles float64, chain []xy) {
	for _, p := range chain {
		highest, known := d.tops[miles]
		if p.y > 2*ringLabel && p.x > 5*ringLabel && p.x < mapWidth-5*ringLabel && (!known || p.y < highest.y) {
			d.tops[miles] = p
		}
	}
}

// ringLabel is the size of a ring's label.
const ringLabel = 12

// dash tells rings apart without colour: the first is whole.
func dash(i int) string {
	if i == 0 {
		return ""
	}
	return fmt.Sprintf(` stroke-dasharray="%d 4"`, max(2, 14-4*i))
}

// land draws all that is not land, and the borders.
func (d *drawing) land() {
	set := outlines()
	d.add(`<path class="water" d="M-30 -30H%.0fV%.0fH-30Z%s"/>`, mapWidth+30, mapHeight+30, d.rounds(set.Land))
	d.add(`<path class="water" d="%s"/>`, d.rounds(set.Lakes))
	d.add(`<path class="state" d="%s"/>`, d.runs(set.States))
	d.add(`<path class="border" d="%s"/>`, d.runs(set.Borders))
	for _, miles := range d.m.Rings {
		if at, ok := d.tops[miles]; ok {
			d.label(xy{at.x, at.y - 3}, ringLabel, "middle", fmt.Sprintf("%.0f mi by road", miles))
		}
	}
}

// rounds is the path of rings.
func (d *drawing) rounds(lines []outline.Line) string {
	var path strings.Builder
	for _, l := range lines {
		if ring := clipRing(d.v.drawn(l)); len(ring) > 2 {
			d.path(&path, ring, "Z")
		}
	}
	return path.String()
}

// runs is the path of lines.
func (d *drawing) runs(lines []outline.Line) string {
	var path strings.Builder
	for _, l := range lines {
		for _, run := range clipLine(d.v.drawn(l)) {
			d.path(&path, run, "")
		}
	}
	return path.String()
}

// path writes points; those that are drawn on the same spot as the one before
// are left out.
func (d *drawing) path(to *strings.Builder, points []xy, end string) {
	last := ""
	for i, p := range points {
		at := fmt.Sprintf("%.1f %.1f", p.x, p.y)
		if at == last {
			continue
		}
		last = at
		to.WriteString(map[bool]string{true: "M", false: "L"}[i == 0] + at)
	}
	to.WriteString(end)
}

// plain makes text safe within the drawing: signs escaped, and control
// characters, which XML has no way to write, left out.
func plain(text string) string {
	return html.EscapeString(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == unicode.ReplacementChar || r == 0xfffe || r == 0xffff {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, " ")))
}
