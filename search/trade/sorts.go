package trade

import (
	"fmt"
	"strings"
)

// fount weighs the sorts of a fount, and the text to set if there is one.
func (a *account) fount(f *fount, text string) span {
	base := a.sorts(f)
	if strings.TrimSpace(text) == "" {
		return base
	}
	return base.scaled(1 - textWeight).plus(a.text(f, text).scaled(textWeight))
}

// sorts is the share of the wanted sorts that is there, times the share of the
// letters of the alphabet of which there is at least one: a fount that wants a
// letter altogether cannot be used for general setting.
func (a *account) sorts(f *fount) span {
	wanted := f.wanted
	low, high := f.bills(wanted)
	most := min(high.Supply(wanted), float64(f.pieces)/float64(max(wanted.Pieces(), 1)))
	most *= coverage(high, wanted)
	s := between(min(low.Supply(wanted)*coverage(low, wanted), most), most)
	a.saySorts(f, s, wanted, low)
	return s
}

// coverage is the share of the wanted letters of which there is at least one;
// every bill that a fount is judged by has letters.
func coverage(have, wanted Bill) float64 {
	var all, there int
	for s := range wanted {
		if g := GroupOf(s); g == Capitals || g == LowerCase {
			all++
			there += min(have[s], 1)
		}
	}
	return float64(there) / float64(all)
}

func (a *account) saySorts(f *fount, s span, wanted, have Bill) {
	if a.mute {
		return
	}
	judged := "the smallest useful fount"
	if f.full != nil {
		judged = "a fount of " + f.scheme.String()
	}
	switch {
	case s.low < s.high && len(f.counted) == 0:
		a.say("its sorts were not counted; judged against %s", judged)
	case s.low < s.high:
		a.say("only some of its sorts were counted; judged against %s", judged)
	case s.high == 1:
		a.say("every sort of %s is there", judged)
	default:
		a.say("short of %s: %s", judged, have.Short(wanted).list())
		a.sayUsable(f, have)
	}
}

func (a *account) sayUsable(f *fount, have Bill) {
	if f.full == nil {
		return
	}
	if as, limiting := f.scheme.Usable(have); limiting != "" {
		a.say("behaves as a fount of %s, for want of %s", schemeOf(f.scheme, int(as)), limiting)
	}
}

// schemeOf is a scheme's kind of fount with so many A's.
func schemeOf(s Scheme, n int) string {
	if s.Caps == 0 {
		return fmt.Sprintf("%da", n)
	}
	return fmt.Sprintf("%dA", n)
}

// text is the share of a text that the fount can set.
func (a *account) text(f *fount, text string) span {
	needed := Needed(text)
	if len(needed) == 0 {
		return surely(1)
	}
	all, pieces := needed, f.pieces
	for _, l := range []string{"ff", "fi", "fl", "ffi", "ffl"} {
		if f.counted[l] > 0 {
			all = all.with(l)
			// A ligature is one piece, and sets as many letters as it has.
			pieces += f.counted[l] * (len(l) - 1)
		}
	}
	lowBill, highBill := f.bills(all)
	n := float64(needed.Pieces())
	shortLow, shortHigh := Set(lowBill, text), Set(highBill, text)
	high := min(1-float64(shortHigh.Pieces())/n, float64(pieces)/n)
	s := between(min(1-float64(shortLow.Pieces())/n, high), high)
	a.sayText(text, s, shortLow, shortHigh)
	return s
}

// with is a bill that also has one of a sort.
func (b Bill) with(sort string) Bill {
	c := Bill{sort: 1}
	for s, n := range b {
		c[s] += n
	}
	return c
}

func (a *account) sayText(text string, s span, shortLow, shortHigh Bill) {
	if a.mute {
		return
	}
	switch {
	case s.low == 1:
		a.say("can set %q", text)
	case len(shortHigh) > 0:
		a.say("cannot set %q: short of %s", text, shortHigh.list())
	default:
		a.say("not known whether it can set %q: it needs %s", text, shortLow.list())
	}
}
