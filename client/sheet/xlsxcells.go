package sheet

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"github.com/xuri/excelize/v2"
)

// faultOf tells what is wrong with a cell of a workbook, and what to show for
// it. A day is one: spreadsheets make a day of 3/4 and of 1-2 without asking.
func (g *grid) faultOf(m mark, shown, raw string) (f fault, text string, ok bool) {
	switch {
	case m.kind == "e":
		return fault{message: fmt.Sprintf("holds the error %s of a formula: write the value itself", shown)}, shown, true
	case m.formula && !m.valued:
		return fault{message: "holds a formula that has not been worked out: save the workbook in its program again, or write the value itself"}, shown, true
	case shown == "":
		return fault{}, "", false
	case m.kind == "d":
		day, _, _ := strings.Cut(raw, "T")
		return dayFault(day), day, true
	case m.kind == "" || m.kind == "n":
		n, err := strconv.ParseFloat(raw, 64)
		if err != nil || !g.showsDay(m.style) {
			return fault{}, "", false
		}
		at, err := excelize.ExcelDateToTime(n, g.day1904)
		if err != nil {
			return fault{}, "", false
		}
		day := at.Format(time.DateOnly)
		return dayFault(day), day, true
	}
	return fault{}, "", false
}

func dayFault(day string) fault {
	return fault{day: true, message: fmt.Sprintf("is a day, %s, in the workbook, which makes a day of 3/4 or 1-2: set the cell's format to text and write it again", day)}
}

// figureOf is a number of a workbook with the unit that its format shows: of
// 1350.5 shown as "1,351 lb" it is "1350.5 lb". Where a format shows more than a
// unit, it is what is shown.
func figureOf(m mark, shown, raw string) (string, bool) {
	n, err := strconv.ParseFloat(raw, 64)
	if (m.kind != "" && m.kind != "n") || shown == "" || err != nil {
		return "", false
	}
	figure := plain(n)
	words := unitRE.FindAllStringIndex(shown, -1)
	switch {
	case len(words) == 0:
		return figure, true
	case len(words) > 1 || !slices.Contains(unitWords, strings.ToLower(shown[words[0][0]:words[0][1]])):
		return shown, true
	}
	unit := shown[words[0][0]:words[0][1]]
	if strings.IndexFunc(shown, unicode.IsDigit) < words[0][0] {
		return figure + " " + unit, true
	}
	return unit + " " + figure, true
}

// plain writes a number without an exponent, to the 15 digits that a workbook
// keeps: what it holds as 0.30000000000000004 was entered as 0.3.
func plain(n float64) string {
	if short, err := strconv.ParseFloat(strconv.FormatFloat(n, 'g', 15, 64), 64); err == nil {
		n = short
	}
	return strconv.FormatFloat(n, 'f', -1, 64)
}

// showsDay tells whether a style shows a number as a day or a time.
func (g *grid) showsDay(style int) bool {
	if known, ok := g.days[style]; ok {
		return known
	}
	s, err := g.book.GetStyle(style)
	day := err == nil && isDayFormat(s)
	g.days[style] = day
	return day
}

// besideDayRE is what a number format holds besides its signs for figures and
// days: quoted text, escaped letters, colours and currencies in brackets.
var besideDayRE = regexp.MustCompile(`"[^"]*"|\\.|_.|\*.|\[[^\]]*\]|(?i:general)`)

// isDayFormat knows the built-in formats by their number (ECMA-376 part 1,
// 18.8.30), and others by their letters.
func isDayFormat(s *excelize.Style) bool {
	if s.CustomNumFmt != nil {
		return strings.ContainsAny(besideDayRE.ReplaceAllString(*s.CustomNumFmt, ""), "yYmMdDhHsS")
	}
	n := s.NumFmt
	return n >= 14 && n <= 22 || n >= 27 && n <= 36 || n >= 45 && n <= 47 || n >= 50 && n <= 58
}
