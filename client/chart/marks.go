package chart

import (
	"errors"
	"fmt"
)

// ErrEmpty says that a map has nothing on it.
var ErrEmpty = errors.New("there is nothing to draw: no place to look from, and no lot with a town")

const (
	lineHeight = 20.0
	mostListed = 60
)

// marks draws the seeker's town and every town with lots.
func (d *drawing) marks() {
	for i, s := range d.spots {
		d.add(`<circle class="mark" cx="%.1f" cy="%.1f" r="%.1f"><title>%s</title></circle>`, s.at.x, s.at.y, s.radius(), plain(d.item(i)))
	}
	for i, s := range d.spots {
		d.label(xy{s.at.x + s.radius() + 2, s.at.y - s.radius()/2}, 14, "start", fmt.Sprint(i+1))
	}
	if o := d.m.Origin; o != nil {
		at := d.v.at(o.Point)
		d.add(`<path class="home" d="M%.1f %.1fl7 7l-7 7l-7-7Z"><title>%s</title></path>`, at.x, at.y-7, plain("Looking from "+o.Label))
		d.label(xy{at.x, at.y + 24}, 14, "middle", o.Name)
	}
}

// radius is from 4, for what hardly fits, to 12.
func (s *spot) radius() float64 {
	if s.fit < 0 {
		return 6
	}
	return 4 + 8*min(s.fit, 100)/100
}

func (d *drawing) label(at xy, size int, anchor, text string) {
	d.add(`<text class="halo" x="%.1f" y="%.1f" font-size="%d" text-anchor="%s">%s</text>`, at.x, at.y, size, anchor, plain(text))
}

// list says in words what the map shows, town by town.
func (d *drawing) list() (lines []string) {
	for i := range d.spots {
		if len(lines) == mostListed {
			lines = append(lines, fmt.Sprintf("And %d more towns.", len(d.spots)-mostListed))
			break
		}
		lines = append(lines, d.item(i))
	}
	return lines
}

// item is one town of the list.
func (d *drawing) item(i int) string {
	s := d.spots[i]
	text := fmt.Sprintf("%d. %s: %s", i+1, s.town.Label, s.marks[0].Text)
	if more := len(s.marks) - 1; more == 1 {
		text += ", and 1 more lot"
	} else if more > 1 {
		text += fmt.Sprintf(", and %d more lots", more)
	}
	return text
}

// describe says what is drawn, for who cannot see it.
func (d *drawing) describe() string {
	text := fmt.Sprintf("A map with %d lots in %d towns, numbered as in the list beneath it.", len(d.m.Marks), len(d.spots))
	if o := d.m.Origin; o != nil {
		text += " The diamond is " + o.Label + "."
		for _, miles := range d.m.Rings {
			text += fmt.Sprintf(" A line shows how far %.0f miles by road reach.", miles)
		}
	}
	return text
}
