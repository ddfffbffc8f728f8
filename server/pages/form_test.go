package pages_test

import (
	"math"
	"net/http"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"

	pb "heirpress/proto/heirpress/v1"
)

func (s *served) search(t *testing.T) error {
	_, err := pb.NewSearchServiceClient(s.conn).SearchLots(t.Context(), &pb.SearchLotsRequest{})
	return err
}

// paths are pages of every sort.
func paths(s *served) []string {
	return []string{
		"/", "/find", find("q", "platen within 300 miles of Toledo, OH", "kind", "press"), find("q", "zzz"), "/shops", "/" + s.shop, "/" + s.shop + "/lots/p1", "/" + s.shop + "/lots/p2/moving-brief",
		"/" + s.shop + "/catalogue", "/map?q=platen", "/map.svg?q=platen", "/feed.atom?q=platen",
		"/wants", "/wants/new", newWant("q", "platen near Toledo, OH"), "/alerts",
		"/keep", strings.Replace(s.shop, "shops/", "/keep/", 1), strings.Replace(s.shop, "shops/", "/keep/", 1) + "/lots/p1",
	}
}

// What a page must have to be read by ear and used by keyboard. The rules are those
// of HTML (WHATWG) and of WCAG 2.2: 1.1.1, 1.3.1, 2.4.1, 2.4.2, 2.4.4, 3.1.1, 3.3.2,
// 4.1.2.
func TestEveryPageIsWellMade(t *testing.T) {
	s := demonstrated(t)
	s.send(t, "/wants", s.get(t, newWant("q", "platen near Toledo, OH")).form(t, "/wants")).is(t, http.StatusOK)
	for _, path := range append(paths(s), "/none", find("near", "Nowherebury", "weight", "heavy")) {
		page := s.get(t, path)
		if !strings.HasPrefix(page.body, "<!DOCTYPE html>") {
			continue // a drawing or a feed
		}
		for _, wrong := range faults(page) {
			t.Errorf("%s: %s", path, wrong)
		}
		t.Logf("%s: %d bytes", path, len(page.body))
		if n := len(page.body); n > 50<<10 {
			t.Errorf("%s: %d bytes", path, n)
		}
	}
	if got := s.get(t, s.get(t, "/").all("link")[0].Attr[1].Val); got.Header.Get("Content-Type") != "text/css; charset=utf-8" {
		t.Errorf("the style: %v", got.Header)
	}
}

// The checker finds what it is there to find.
func TestFaultsAreFound(t *testing.T) {
	for text, want := range map[string]string{
		`<h1>a</h1><h1>b</h1>`:                       "2 headings of the first rank",
		`<h1>a</h1><h3>b</h3>`:                       "h3 after h1",
		`<input id="x">`:                             "no label",
		`<img src="/a.svg">`:                         "no alt",
		`<a href="/x"> </a>`:                         "says nothing",
		`<p id="a"><p id="a">`:                       "id a twice",
		`<p style="color: red">`:                     "style of its own",
		`<p onclick="x()">`:                          "script",
		`<script>1</script>`:                         "script",
		`<img alt="a" src="https://example.org/a">`:  "another site",
		`<section aria-labelledby="none"></section>`: "none is not there",
		`<a href="#nowhere">x</a>`:                   "nowhere is not there",
		`<p></p>`:                                    "0 main",
	} {
		root, err := html.Parse(strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(faults(answer{root: root}), "; "); !strings.Contains(got, want) {
			t.Errorf("%s: %q, not %q", text, got, want)
		}
	}
}

// faults is what is wrong with a page.
func faults(page answer) (wrong []string) {
	say := func(parts ...string) { wrong = append(wrong, strings.Join(parts, " ")) }
	ids, labelled := map[string]bool{}, map[string]bool{}
	for n := range page.root.Descendants() {
		if id := attr(n, "id"); id != "" {
			if ids[id] {
				say("id", id, "twice")
			}
			ids[id] = true
		}
		if n.Data == "label" {
			labelled[attr(n, "for")] = textOf(n) != ""
		}
	}
	for _, one := range []struct {
		name string
		n    int
	}{{"main", 1}, {"header", 1}, {"footer", 1}} {
		if got := len(page.all(one.name)); got != one.n {
			say(strconv.Itoa(got), one.name)
		}
	}
	if got := len(page.all("h1")); got != 1 {
		say(strconv.Itoa(got), "headings of the first rank")
	}
	if attr(page.all("html")[0], "lang") == "" {
		say("no language")
	}
	if titles := page.all("title"); len(titles) == 0 || textOf(titles[0]) == "" {
		say("no title")
	}
	rank := 0
	for n := range page.root.Descendants() {
		if n.Type != html.ElementNode {
			continue
		}
		wrong = append(wrong, faultsOf(n, ids, labelled)...)
		if len(n.Data) == 2 && n.Data[0] == 'h' && n.Data[1] >= '1' && n.Data[1] <= '6' {
			is := int(n.Data[1] - '0')
			if is > rank+1 {
				say(n.Data, "after h"+strconv.Itoa(rank))
			}
			rank = is
			if textOf(n) == "" {
				say("a heading says nothing")
			}
		}
	}
	return wrong
}

func faultsOf(n *html.Node, ids, labelled map[string]bool) (wrong []string) {
	say := func(parts ...string) { wrong = append(wrong, n.Data+": "+strings.Join(parts, " ")) }
	switch n.Data {
	case "script":
		say("script")
	case "input", "select", "textarea":
		if attr(n, "type") != "hidden" && !labelled[attr(n, "id")] {
			say("no label", attr(n, "name"))
		}
	case "img":
		if attr(n, "alt") == "" {
			say("no alt")
		}
	case "a", "button":
		if textOf(n) == "" {
			say("says nothing")
		}
	case "section", "nav", "form":
		if attr(n, "aria-labelledby")+attr(n, "aria-label") == "" {
			say("has no name")
		}
	}
	for _, a := range n.Attr {
		switch {
		case strings.HasPrefix(a.Key, "on"):
			say("script in", a.Key)
		case a.Key == "style":
			say("a style of its own")
		case (a.Key == "src" || a.Key == "href" || a.Key == "action") && (strings.Contains(a.Val, "//") || strings.HasPrefix(a.Val, "javascript:")):
			say("leads to another site:", a.Val)
		case a.Key == "href" && strings.HasPrefix(a.Val, "#") && !ids[a.Val[1:]]:
			say(a.Val[1:], "is not there")
		case a.Key == "aria-labelledby" || a.Key == "aria-describedby":
			for _, id := range strings.Fields(a.Val) {
				if !ids[id] {
					say(id, "is not there")
				}
			}
		}
	}
	return wrong
}

var colours = regexp.MustCompile(`--(\w+): #([0-9a-f]{6});`)

// luminance is that of WCAG 2.2, "relative luminance".
func luminance(hex string) float64 {
	channel := func(at int) float64 {
		n, err := strconv.ParseUint(hex[at:at+2], 16, 8)
		if err != nil {
			panic(err)
		}
		c := float64(n) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*channel(0) + 0.7152*channel(2) + 0.0722*channel(4)
}

func contrast(a, b string) float64 {
	high, low := max(luminance(a), luminance(b)), min(luminance(a), luminance(b))
	return (high + 0.05) / (low + 0.05)
}

// Every ink on every ground that it stands on, by the formula of WCAG 2.2 (1.4.3:
// 4.5 to 1 for text; 1.4.11: 3 to 1 for what bounds a field). The formula is checked
// on known pairs: black on white is 21, and #767676 is the lightest grey that passes
// on white (4.54; both from memory).
func TestContrast(t *testing.T) {
	if got := contrast("000000", "ffffff"); math.Abs(got-21) > 1e-9 {
		t.Errorf("black on white: %v", got)
	}
	if got := contrast("767676", "ffffff"); math.Abs(got-4.54) > 0.005 {
		t.Errorf("#767676 on white: %v", got)
	}
	sheet, err := os.ReadFile("style.css")
	if err != nil {
		t.Fatal(err)
	}
	of := map[string]string{}
	for _, m := range colours.FindAllStringSubmatch(string(sheet), -1) {
		of[m[1]] = m[2]
	}
	for _, ground := range []string{"paper", "tint"} {
		for _, ink := range []string{"ink", "soft", "colour"} {
			got := contrast(of[ink], of[ground])
			t.Logf("%s on %s: %.1f to 1", ink, ground, got)
			if got < 4.5 {
				t.Errorf("%s on %s: %.2f to 1", ink, ground, got)
			}
		}
		if got := contrast(of["rule"], of[ground]); got < 3 {
			t.Errorf("rule on %s: %.2f to 1", ground, got)
		}
	}
	// Other colours than these are nowhere in the style.
	rest := colours.ReplaceAllString(string(sheet), "")
	if other := regexp.MustCompile(`#[0-9a-fA-F]{3,8}\b|rgba?\(|url\(|@import`).FindString(rest); other != "" {
		t.Errorf("the style has %s", other)
	}
	if http.DetectContentType(sheet) != "text/plain; charset=utf-8" {
		t.Error("the style is not UTF-8")
	}
}
