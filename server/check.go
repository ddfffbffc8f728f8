package server

import (
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"google.golang.org/genproto/googleapis/rpc/errdetails"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// A checker gathers everything that is wrong with a request, so that a caller
// hears of all of it at once.
type checker struct {
	violations []*errdetails.BadRequest_FieldViolation
}

// wrong notes what is wrong with a field. Of long texts it repeats the beginning.
func (c *checker) wrong(field, format string, args ...any) {
	for i, arg := range args {
		if text, is := arg.(string); is && len(text) > mostRepeated {
			args[i] = strings.ToValidUTF8(text[:mostRepeated], "") + "…"
		}
	}
	c.violations = append(c.violations, &errdetails.BadRequest_FieldViolation{
		Field: field, Description: fmt.Sprintf(format, args...),
	})
}

// mostRepeated is how much of a text that is wrong is repeated, in bytes.
const mostRepeated = 500

// err is the problem to answer with, or nil.
func (c *checker) err() error {
	if len(c.violations) == 0 {
		return nil
	}
	return invalidFields(c.violations)
}

func (c *checker) text(field, text string, longest int) {
	if n := utf8.RuneCountInString(text); n > longest {
		c.wrong(field, "has %d characters: at most %d", n, longest)
	}
}

func (c *checker) required(field, text string, longest int) {
	if text == "" {
		c.wrong(field, "is missing: it is required")
	}
	c.text(field, text, longest)
}

// within checks a number that is present to be more than 0 and at most most.
func (c *checker) within(field string, n *float64, most float64, unit string) {
	if n != nil && !(*n > 0 && *n <= most) {
		c.wrong(field, "is %v: it must be more than 0 and at most %v %s", *n, most, unit)
	}
}

// upTo checks a number that is present to be at least 0 and at most most.
func (c *checker) upTo(field string, n *float64, most float64, unit string) {
	if n != nil && !(*n >= 0 && *n <= most) {
		c.wrong(field, "is %v: it must be 0 to %v %s", *n, most, unit)
	}
}

func (c *checker) notNegative(field string, n *int32) {
	if n != nil && *n < 0 {
		c.wrong(field, "is %d: it cannot be negative", *n)
	}
}

func (c *checker) money(field string, m *pb.Money) {
	if m == nil {
		return
	}
	if !isCurrency(m.GetCurrencyCode()) {
		c.wrong(field+".currency_code", "is %q: write three capital letters, as USD", m.GetCurrencyCode())
	}
	if m.GetUnits() < 0 || m.GetNanos() < 0 || m.GetNanos() > 999_999_999 {
		c.wrong(field, "is %d units and %d nanos: units are not negative, nanos 0 to 999999999", m.GetUnits(), m.GetNanos())
	}
}

func isCurrency(code string) bool {
	if len(code) != 3 {
		return false
	}
	for _, r := range code {
		if r < 'A' || r > 'Z' {
			return false
		}
	}
	return true
}

func (c *checker) date(field string, d *pb.Date) {
	if d == nil {
		return
	}
	t := trade.DayOf(d)
	same := t.Year() == int(d.GetYear()) && t.Month() == time.Month(d.GetMonth()) && t.Day() == int(d.GetDay())
	if !same || t.Year() < 1 || t.Year() > 9999 {
		c.wrong(field, "%04d-%02d-%02d is not a day of the calendar", d.GetYear(), d.GetMonth(), d.GetDay())
	}
}

func (c *checker) rectangle(field string, r *pb.Rectangle) {
	if r == nil {
		return
	}
	c.within(field+".width_mm", &r.WidthMm, largestSide, "mm")
	c.within(field+".height_mm", &r.HeightMm, largestSide, "mm")
}

func (c *checker) point(field string, p *pb.Point) {
	if p != nil && !(place.Point{Lat: p.GetLatitude(), Lng: p.GetLongitude()}).Valid() {
		c.wrong(field, "%v, %v is not a point: latitude -90 to 90, longitude -180 to 180", p.GetLatitude(), p.GetLongitude())
	}
}

// town looks a place up, and reports what is wrong with it under field.
func (c *checker) town(field, text string) *pb.Town {
	if text == "" {
		c.wrong(field, "is missing: write a town, as Dayton, OH")
		return nil
	}
	c.text(field, text, 200)
	found, err := place.Find(text)
	if err != nil {
		c.wrong(field, "%s", err)
		return nil
	}
	return found.Message()
}
