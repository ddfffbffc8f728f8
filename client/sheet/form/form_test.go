package form

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	"heirpress/client/sheet"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

func TestEveryKindHasOneForm(t *testing.T) {
	seen := map[pb.Kind]int{}
	for _, f := range Forms() {
		seen[f.Kind]++
		if Of(f.Kind).Heading != f.Heading || f.Questions[0].Key != "title" {
			t.Errorf("the form of %s", f.Heading)
		}
	}
	for _, k := range trade.Kinds() {
		if seen[k] != 1 {
			t.Errorf("%s has %d forms", trade.KindWord(k), seen[k])
		}
	}
}

// Every example is an answer that the reader of sheets takes, and changes the lot.
func TestExamplesAreAnswers(t *testing.T) {
	for _, f := range Forms() {
		keys := map[string]bool{}
		for _, q := range f.Questions {
			if keys[q.Key] || q.Ask == "" || q.Help == "" || q.Short == "" || q.Example == "" {
				t.Errorf("%s: the question on %s is there twice, or not whole", f.Heading, q.Key)
			}
			keys[q.Key] = true
			lot := &pb.Lot{Title: "x", Kind: f.Kind}
			if set, err := sheet.SetLot(lot, q.Key, q.Example); err != nil || proto.Equal(set, lot) || set.GetKind() != f.Kind {
				t.Errorf("%s, %s: %q: %v", f.Heading, q.Key, q.Example, err)
			}
		}
	}
	for _, q := range Shop() {
		if _, err := sheet.SetShop(&pb.Shop{Title: "x"}, q.Key, q.Example); err != nil {
			t.Errorf("shop, %s: %v", q.Key, err)
		}
	}
}

// An answer that picks a class names every class of the kind.
func TestClassQuestionsNameTheClasses(t *testing.T) {
	for _, f := range Forms() {
		at := slices.IndexFunc(f.Questions, func(q Question) bool { return q.Key == "class" })
		if at < 0 {
			continue
		}
		for _, named := range regexp.MustCompile(`([a-z ]+):`).FindAllStringSubmatch(f.Questions[at].Help, -1) {
			c, err := trade.ParseClass(strings.TrimSpace(named[1]))
			if err != nil || trade.KindOf(c) != f.Kind {
				t.Errorf("%s: %q is no class of it", f.Heading, named[1])
			}
		}
	}
}

// wellFormed reads a page as XML to its end, and returns its elements' names.
func wellFormed(t *testing.T, body []byte) (elements []xml.StartElement) {
	t.Helper()
	dec := xml.NewDecoder(bytes.NewReader(body))
	for {
		token, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return elements
		}
		if err != nil {
			t.Fatal(err)
		}
		if e, ok := token.(xml.StartElement); ok {
			elements = append(elements, e.Copy())
		}
	}
}

// asksNothing holds a page to what it promises: well-formed, no request, every
// drawing named and described, no ID twice.
func asksNothing(t *testing.T, body []byte) {
	t.Helper()
	ids, drawn, named := map[string]bool{}, 0, 0
	for _, e := range wellFormed(t, body) {
		switch e.Name.Local {
		case "script", "link", "img", "iframe", "image", "use":
			t.Errorf("there is a %s", e.Name.Local)
		case "svg":
			drawn++
		}
		for _, a := range e.Attr {
			switch a.Name.Local {
			case "href", "src":
				t.Errorf("%s asks for %s", e.Name.Local, a.Value)
			case "id":
				if ids[a.Value] {
					t.Errorf("the ID %s is there twice", a.Value)
				}
				ids[a.Value] = true
			case "aria-labelledby":
				if e.Name.Local == "svg" && len(strings.Fields(a.Value)) == 2 {
					named++
				}
			}
		}
	}
	if strings.Contains(string(body), "url(") || drawn != named || drawn != strings.Count(string(body), "<desc ") {
		t.Errorf("%d drawings, %d named", drawn, named)
	}
}

func TestBlankPage(t *testing.T) {
	var b bytes.Buffer
	if err := HTML(&b, Forms(), true); err != nil {
		t.Fatal(err)
	}
	asksNothing(t, b.Bytes())
	for _, want := range []string{"The shop", "Wood type", "What is it wired for?", "A chase: measure inside the frame", `<th scope="col"`} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("there is no %q", want)
		}
	}
	b.Reset()
	if err := HTML(&b, []Form{Of(pb.Kind_KIND_PRESS)}, false); err != nil {
		t.Fatal(err)
	}
	asksNothing(t, b.Bytes())
	if strings.Contains(b.String(), "Wood type") || strings.Contains(b.String(), "The shop") {
		t.Error("the sheet for presses holds more than that")
	}
}

func TestDrawings(t *testing.T) {
	used := map[string]bool{}
	for _, f := range Forms() {
		for _, id := range f.Drawings() {
			used[id] = true
		}
	}
	for _, draw := range drawings {
		d := draw()
		if !used[d.ID] || Draw(d.ID) == nil || d.Title == "" || len(d.Desc) < 60 {
			t.Errorf("the drawing %s is used nowhere, or not described", d.ID)
		}
		wellFormed(t, []byte(d.SVG()))
		delete(used, d.ID)
	}
	if len(used) > 0 || Draw("nothing") != nil {
		t.Errorf("drawings that are not there: %v", used)
	}
}

func TestHelp(t *testing.T) {
	rows := Help(Forms(), sheet.Columns())
	for _, r := range rows[1:] {
		if !slices.Contains(sheet.Columns(), r[1]) || len(r) != len(rows[0]) {
			t.Errorf("got %q", r)
		}
	}
}

// The checklist says what it must, each line with its grounds.
func TestChecklist(t *testing.T) {
	var text, page bytes.Buffer
	if err := errors.Join(ChecklistText(&text), ChecklistHTML(&page)); err != nil {
		t.Fatal(err)
	}
	asksNothing(t, page.Bytes())
	for _, s := range checklist {
		for _, it := range s.Items {
			if !strings.Contains(it.Grounds, "common practice") && !strings.Contains(it.Grounds, "published") && !strings.Contains(it.Grounds, "memory") {
				t.Errorf("no grounds: %s", it.Text)
			}
		}
	}
	flat := strings.Join(strings.Fields(text.String()), " ")
	for _, want := range []string{"Do not melt", "scrap", "Do not tip", "Do not wash wood type", "Do not blow dust", "who may sell", "bill of sale", "Local rules go before it", "licensed electrician", "15 to 38 percent", "published, 29 CFR 1910.1025"} {
		if !strings.Contains(flat, want) {
			t.Errorf("there is no %q", want)
		}
	}
	for i, l := range strings.Split(text.String(), "\n") {
		if len([]rune(l)) > textWidth {
			t.Errorf("line %d is %d letters wide", i+1, len(l))
		}
	}
}
