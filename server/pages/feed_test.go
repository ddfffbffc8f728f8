package pages_test

import (
	"encoding/xml"
	"net/http"
	"net/url"
	"regexp"
	"testing"
	"time"

	pb "heirpress/proto/heirpress/v1"
)

// read is a feed as another reader of RFC 4287 would read it.
type readFeed struct {
	XMLName xml.Name
	ID      []string `xml:"http://www.w3.org/2005/Atom id"`
	Title   []string `xml:"http://www.w3.org/2005/Atom title"`
	Updated []string `xml:"http://www.w3.org/2005/Atom updated"`
	Links   []struct {
		Rel  string `xml:"rel,attr"`
		Href string `xml:"href,attr"`
	} `xml:"http://www.w3.org/2005/Atom link"`
	Entries []struct {
		ID      []string `xml:"http://www.w3.org/2005/Atom id"`
		Title   []string `xml:"http://www.w3.org/2005/Atom title"`
		Updated []string `xml:"http://www.w3.org/2005/Atom updated"`
		Summary string   `xml:"http://www.w3.org/2005/Atom summary"`
		Author  []struct {
			Name []string `xml:"http://www.w3.org/2005/Atom name"`
		} `xml:"http://www.w3.org/2005/Atom author"`
		Links []struct {
			Rel  string `xml:"rel,attr"`
			Href string `xml:"href,attr"`
		} `xml:"http://www.w3.org/2005/Atom link"`
	} `xml:"http://www.w3.org/2005/Atom entry"`
}

func (s *served) feed(t *testing.T, path string) readFeed {
	t.Helper()
	got := s.get(t, path)
	if got.StatusCode != http.StatusOK || got.Header.Get("Content-Type") != "application/atom+xml; charset=utf-8" {
		t.Fatalf("%s: %d, %v", path, got.StatusCode, got.Header)
	}
	var f readFeed
	if err := xml.Unmarshal([]byte(got.body), &f); err != nil {
		t.Fatal(err)
	}
	return f
}

var isID = regexp.MustCompile(`^urn:uuid:[0-9a-f]{8}-[0-9a-f]{4}-5[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`)

// What RFC 4287 says a feed and an entry MUST have (sections 4.1.1, 4.1.2, 4.2.6,
// 3.3): exactly one id, title and updated each, an author, a link.
func TestFeedIsAtom(t *testing.T) {
	s := demonstrated(t)
	f := s.feed(t, "/feed.atom?q=platen&near=Toledo%2C+OH&within=300+mi")
	if f.XMLName.Space != "http://www.w3.org/2005/Atom" || f.XMLName.Local != "feed" {
		t.Fatalf("it is %v", f.XMLName)
	}
	moment := func(texts []string) {
		if len(texts) != 1 {
			t.Errorf("%d times updated", len(texts))
		} else if _, err := time.Parse(time.RFC3339, texts[0]); err != nil {
			t.Error(err)
		}
	}
	moment(f.Updated)
	if len(f.ID) != 1 || len(f.Title) != 1 || !isID.MatchString(f.ID[0]) {
		t.Errorf("the feed is %v", f)
	}
	ids := map[string]bool{}
	for _, e := range f.Entries {
		moment(e.Updated)
		if len(e.ID) != 1 || len(e.Title) != 1 || len(e.Author) != 1 || len(e.Author[0].Name) != 1 || !isID.MatchString(e.ID[0]) || ids[e.ID[0]] {
			t.Errorf("an entry is %v", e)
		}
		ids[e.ID[0]] = true
		if len(e.Links) != 1 || e.Links[0].Rel != "alternate" {
			t.Errorf("links %v", e.Links)
			continue
		}
		u, err := url.Parse(e.Links[0].Href)
		if err != nil || !u.IsAbs() {
			t.Errorf("leads to %s", e.Links[0].Href)
			continue
		}
		s.get(t, u.Path).is(t, http.StatusOK, e.Title[0])
	}
	if len(ids) < 3 {
		t.Errorf("%d entries", len(ids))
	}
}

// A lot that is posted later stands in the feed first, and those before it keep
// their ids.
func TestFeedHasWhatIsNew(t *testing.T) {
	s := demonstrated(t)
	const path = "/feed.atom?q=stone"
	before := s.feed(t, path)
	_, err := pb.NewLotServiceClient(s.conn).CreateLot(t.Context(), &pb.CreateLotRequest{Parent: s.shop, Lot: &pb.Lot{Tag: "N1", Title: "Imposing stone & frame <24 x 36>", Kind: pb.Kind_KIND_STONES}})
	if err != nil {
		t.Fatal(err)
	}
	after := s.feed(t, path)
	if len(after.Entries) != len(before.Entries)+1 || after.Entries[0].Title[0] != "Imposing stone & frame <24 x 36>" {
		t.Fatalf("%d entries, then %d", len(before.Entries), len(after.Entries))
	}
	if len(before.Entries) > 0 && after.Entries[1].ID[0] != before.Entries[0].ID[0] {
		t.Error("a lot has another id")
	}
	s.get(t, "/feed.atom?within=far&near=Dayton").is(t, http.StatusBadRequest, "300 mi or 480 km")
}
