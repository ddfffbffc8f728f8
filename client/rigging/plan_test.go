package rigging

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"heirpress/search/trade"

	"pgregory.net/rapid"
)

// flat is a text with every run of spacing made one space.
func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

func textOf(t fataler, b *Brief, u trade.Units) string {
	var out bytes.Buffer
	if err := Text(&out, b, u); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func htmlOf(t fataler, b *Brief, u trade.Units) string {
	var out bytes.Buffer
	if err := HTML(&out, b, u); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

type fataler interface{ Fatal(...any) }

// wordsOf is what a page says, without its marks. It fails unless the page is
// well-formed.
func wordsOf(t fataler, page string) string {
	var words strings.Builder
	dec := xml.NewDecoder(strings.NewReader(page))
	for {
		token, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return flat(words.String())
		}
		if err != nil {
			t.Fatal(err)
		}
		if text, ok := token.(xml.CharData); ok {
			words.Write(text)
			words.WriteByte(' ')
		}
	}
}

func TestEveryCautionIsPrintedOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := Plan(drawLoad(t), drawSite(t))
		u := trade.Units(rapid.IntRange(0, 1).Draw(t, "units"))
		for form, text := range map[string]string{"text": flat(textOf(t, b, u)), "page": wordsOf(t, htmlOf(t, b, u))} {
			for _, c := range slices.Concat(cautions(), notCovered()) {
				if n := strings.Count(text, flat(c)); n != 1 {
					t.Errorf("the %s has %d times: %s", form, n, c)
				}
			}
			if !strings.Contains(text, Edition) && len(b.Vehicle.Trips) > 0 {
				t.Errorf("the %s does not say which edition", form)
			}
		}
	})
}

// leave are words that would sound like leave to do it.
var leave = []string{"is safe", "are safe", "safely", "you may", "permitted", "is allowed", "approved", "guarantee", "NaN", "Inf", "%!"}

func TestNothingSoundsLikeLeave(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := Plan(drawLoad(t), drawSite(t))
		text := flat(textOf(t, b, trade.US))
		for _, word := range leave {
			if strings.Contains(text, word) {
				t.Errorf("the brief says %q: %s", word, text)
			}
		}
	})
}

func TestTextIsNarrow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		for _, line := range strings.Split(textOf(t, Plan(drawLoad(t), drawSite(t)), trade.US), "\n") {
			if utf8.RuneCountInString(line) > textColumns && strings.Contains(strings.TrimSpace(line), " ") {
				t.Errorf("too wide: %q", line)
			}
		}
	})
}

func TestPlansAreAlike(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		load, site := drawLoad(t), drawSite(t)
		one, err := json.Marshal(Plan(load, site))
		if err != nil {
			t.Fatal(err)
		}
		other, _ := json.Marshal(Plan(load, site))
		if !bytes.Equal(one, other) {
			t.Error("the same load and site gave two briefs")
		}
	})
}

// onDeck counts what is on the decks and what is not.
func onDeck(v VehiclePlan) map[string]int {
	n := map[string]int{}
	for _, trip := range v.Trips {
		for _, a := range trip.Articles {
			n[a.Name]++
		}
	}
	for _, name := range v.TooMuch {
		n[name]++
	}
	return n
}

func TestEverythingGoesOnceAndFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		load, site := drawLoad(t), drawSite(t)
		b := Plan(load, site)
		on := onDeck(b.Vehicle)
		for _, i := range b.Load.Items {
			if i.StandsAlone && on[i.Tag] != i.Count {
				t.Errorf("%s goes %d times, there are %d", i.Tag, on[i.Tag], i.Count)
			}
		}
		for _, trip := range b.Vehicle.Trips {
			checkTrip(t, b.Vehicle, trip)
		}
	})
}

type errorer interface{ Errorf(string, ...any) }

func checkTrip(t errorer, v VehiclePlan, trip Trip) {
	sum := 0.0
	for i, a := range trip.Articles {
		sum += a.MassKg
		if v.DeckLengthMm == 0 {
			continue
		}
		if a.XMm < -1e-6 || a.YMm < -1e-6 || a.XMm+a.LengthMm > v.DeckLengthMm+1e-6 || a.YMm+a.WidthMm > v.DeckWidthMm+1e-6 {
			t.Errorf("%s stands over the edge: %+v on %v by %v", a.Name, a, v.DeckLengthMm, v.DeckWidthMm)
		}
		for _, o := range trip.Articles[:i] {
			if overlap(a, o) {
				t.Errorf("%s and %s stand in each other", a.Name, o.Name)
			}
		}
	}
	if v.PayloadKg > 0 && sum > v.PayloadKg*usable*(1+1e-6) {
		t.Errorf("%v kg of a payload of %v", sum, v.PayloadKg)
	}
	if math.Abs(sum-trip.LoadKg) > 1e-6 {
		t.Errorf("a load of %v, its articles come to %v", trip.LoadKg, sum)
	}
	if a := trip.Axles; a != nil && math.Abs(a.FrontKg+a.RearKg-trip.LoadKg) > 1e-6 {
		t.Errorf("axles bear %v and %v of %v", a.FrontKg, a.RearKg, trip.LoadKg)
	}
	checkGear(t, v, trip)
}

func overlap(a, b Article) bool {
	const touch = 1e-6
	return a.XMm+a.LengthMm > b.XMm+touch && b.XMm+b.LengthMm > a.XMm+touch &&
		a.YMm+a.WidthMm > b.YMm+touch && b.YMm+b.WidthMm > a.YMm+touch
}

// checkGear holds that no more is used than there is, and that what is used and
// what is short make up what is needed.
func checkGear(t errorer, v VehiclePlan, trip Trip) {
	there, used := 0, 0
	for _, g := range v.Gear {
		there += g.Count
	}
	for _, a := range trip.Articles {
		n, kg := 0, 0.0
		for _, u := range a.Lashing.Used {
			n += u.Count
			kg += float64(u.Count) * u.WLLKg
		}
		used += n
		if v.Gear == nil {
			continue
		}
		if n+a.Lashing.ShortTies < a.Lashing.Ties {
			t.Errorf("%s: %d used and %d short of %d", a.Name, n, a.Lashing.ShortTies, a.Lashing.Ties)
		}
		if kg+a.Lashing.ShortKg < a.Lashing.NeededKg*(1-1e-6) {
			t.Errorf("%s: %v used and %v short of %v kg", a.Name, kg, a.Lashing.ShortKg, a.Lashing.NeededKg)
		}
	}
	if used > there {
		t.Errorf("%d tiedowns used, there are %d", used, there)
	}
}

// shape is an element of a picture with its numbers.
type shape struct {
	name string
	at   map[string]float64
	text string
}

func TestPicturesStayInTheirBox(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := Plan(drawLoad(t), drawSite(t))
		page := htmlOf(t, b, trade.US)
		drawn := strings.Count(page, "<svg")
		if b.Vehicle.DeckLengthMm > 0 && drawn != len(b.Vehicle.Trips) || b.Vehicle.DeckLengthMm == 0 && drawn > 0 {
			t.Errorf("%d pictures of %d trips", drawn, len(b.Vehicle.Trips))
		}
		for _, svg := range strings.Split(page, "<svg")[1:] {
			svg, _, _ = strings.Cut(svg, "</svg>")
			checkPicture(t, "<svg"+svg+"</svg>")
		}
	})
}

func TestNamesFitTheirBoxes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := Plan(drawLoad(t), drawSite(t))
		for i, trip := range b.Vehicle.Trips {
			p := pictureOf(b.Vehicle, trip, i, len(b.Vehicle.Trips), report{b, trade.Metric})
			if p == nil {
				continue
			}
			names := p.Marks[len(p.Marks)-len(p.Boxes):]
			for k, box := range p.Boxes {
				if wide := float64(utf8.RuneCountInString(names[k].Text)) * letterShare * names[k].Size; wide > box.W || names[k].Size > box.H {
					t.Errorf("%s is %v by %v on a box of %v by %v", names[k].Text, wide, names[k].Size, box.W, box.H)
				}
			}
		}
	})
}

func checkPicture(t *rapid.T, svg string) {
	var x, y, w, h float64
	_, box, _ := strings.Cut(svg, `viewBox="`)
	if _, err := fmt.Sscanf(box, "%f %f %f %f", &x, &y, &w, &h); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(svg, `role="img"`) || !strings.Contains(svg, "<title") || !strings.Contains(svg, "<desc") {
		t.Error("the picture says nothing to a screen reader")
	}
	inside := func(px, py float64) bool { return px >= x-0.1 && px <= x+w+0.1 && py >= y-0.1 && py <= y+h+0.1 }
	for _, s := range shapesOf(t, svg) {
		var ok bool
		switch s.name {
		case "rect":
			ok = inside(s.at["x"], s.at["y"]) && inside(s.at["x"]+s.at["width"], s.at["y"]+s.at["height"])
		case "line":
			ok = inside(s.at["x1"], s.at["y1"]) && inside(s.at["x2"], s.at["y2"])
		case "text":
			wide := float64(utf8.RuneCountInString(s.text)) * letterShare * s.at["font-size"]
			left := s.at["x"] - wide*s.at["anchor"]
			ok = inside(left, s.at["y"]) && inside(left+wide, s.at["y"]-s.at["font-size"])
		default:
			ok = true
		}
		if !ok {
			t.Errorf("%v is out of %v by %v", s, w, h)
		}
	}
}

// shapesOf reads the elements of a picture.
func shapesOf(t *rapid.T, svg string) []shape {
	var all []shape
	dec := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			s := shape{name: e.Name.Local, at: map[string]float64{}}
			for _, a := range e.Attr {
				var v float64
				fmt.Sscan(a.Value, &v)
				if a.Name.Local == "text-anchor" {
					v = map[string]float64{"start": 0, "middle": 0.5, "end": 1}[a.Value]
					s.at["anchor"] = v
				}
				s.at[a.Name.Local] = v
			}
			all = append(all, s)
		case xml.CharData:
			if len(all) > 0 {
				all[len(all)-1].text += strings.TrimSpace(string(e))
			}
		}
	}
}

func TestPageAsksNothingOfTheNetwork(t *testing.T) {
	page := htmlOf(t, Plan(nil, exampleSite(t)), trade.US)
	for _, word := range []string{"<script", "<link", "<img", "url(", "@import", "src="} {
		if strings.Contains(page, word) {
			t.Errorf("the page has %q", word)
		}
	}
	if n := strings.Count(page, "http"); n != strings.Count(page, `xmlns="http`) {
		t.Errorf("the page has %d addresses", n)
	}
	if !strings.Contains(page, "@media print") {
		t.Error("the page has no style for print")
	}
}

func TestNothingToMove(t *testing.T) {
	b := Plan(nil, nil)
	text := textOf(t, b, trade.US)
	if !strings.HasPrefix(text, "Moving brief: Nothing to move\n\nThere is no lot to plan for.\n") {
		t.Errorf("the brief begins %.80q", text)
	}
	if len(b.Questions) > 0 || len(b.Vehicle.Trips) > 0 {
		t.Errorf("asks %v and drives %v", b.Questions, b.Vehicle.Trips)
	}
}

// fullWriter takes so many bytes and then no more.
type fullWriter struct{ left int }

func (w *fullWriter) Write(p []byte) (int, error) {
	if len(p) > w.left {
		return 0, errors.New("the paper is out")
	}
	w.left -= len(p)
	return len(p), nil
}

func TestWritersErrors(t *testing.T) {
	b := Plan(nil, nil)
	if err := Text(&fullWriter{100}, b, trade.US); err == nil || err.Error() != "the paper is out" {
		t.Errorf("text: %v", err)
	}
	if err := HTML(&fullWriter{100}, b, trade.US); err == nil || !strings.Contains(err.Error(), "the paper is out") {
		t.Errorf("page: %v", err)
	}
}
