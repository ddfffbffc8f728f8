package pages

import (
	"encoding/xml"
	"net/http"
	"time"

	"github.com/google/uuid"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/search/trade"
)

// What a feed is made of, as RFC 4287 has it.
type (
	atomFeed struct {
		XMLName xml.Name    `xml:"http://www.w3.org/2005/Atom feed"`
		Lang    string      `xml:"xml:lang,attr"`
		ID      string      `xml:"id"`
		Title   string      `xml:"title"`
		Updated string      `xml:"updated"`
		Links   []atomLink  `xml:"link"`
		Entries []atomEntry `xml:"entry"`
	}
	atomLink struct {
		Rel  string `xml:"rel,attr"`
		Type string `xml:"type,attr"`
		Href string `xml:"href,attr"`
	}
	atomEntry struct {
		ID        string     `xml:"id"`
		Title     string     `xml:"title"`
		Published string     `xml:"published"`
		Updated   string     `xml:"updated"`
		Author    atomPerson `xml:"author"`
		Link      atomLink   `xml:"link"`
		Summary   string     `xml:"summary"`
	}
	atomPerson struct {
		Name string `xml:"name"`
	}
)

// mostInFeed is how many lots a feed has, the newest.
const mostInFeed = 50

// feed is the newest lots of a question.
func (s *site) feed(v *visit) error {
	q := questionOf(v.r.URL.Query())
	q.Order = "newest"
	req, wrong := q.request()
	for _, why := range wrong {
		return &refusal{http.StatusBadRequest, "There is no such feed", why}
	}
	req.PageSize, req.PageToken = mostInFeed, ""
	ctx, cancel := v.calling()
	defer cancel()
	got, err := s.search.SearchLots(ctx, req)
	if err != nil {
		return err
	}
	body, err := xml.MarshalIndent(s.feedOf(v, q, got), "", " ")
	if err != nil {
		return err
	}
	v.w.Header().Set("Content-Type", "application/atom+xml; charset=utf-8")
	v.w.Write(append([]byte(xml.Header), body...)) //nolint:errcheck // whoever asked has gone
	return nil
}

func (s *site) feedOf(v *visit, q question, got *pb.SearchLotsResponse) atomFeed {
	f := atomFeed{
		Lang: "en", ID: named(q.link("feed")), Title: "New lots", Updated: atomTime(time.Unix(0, 0)),
		Links: []atomLink{
			{"self", "application/atom+xml", s.base(v) + q.link("/feed.atom")},
			{"alternate", "text/html", s.base(v) + q.link("/find")},
		},
	}
	if q.Words != "" {
		f.Title += ": " + q.Words
	}
	for _, h := range got.GetHits() {
		e := s.entry(v, h.GetLot())
		f.Entries, f.Updated = append(f.Entries, e), max(f.Updated, e.Updated)
	}
	return f
}

func (s *site) entry(v *visit, l *pb.Lot) atomEntry {
	return atomEntry{
		ID: named(l.GetName()), Title: l.GetTitle(), Author: atomPerson{l.GetShopTitle()},
		Published: atomTime(l.GetCreateTime().AsTime()), Updated: atomTime(l.GetUpdateTime().AsTime()),
		Link:    atomLink{"alternate", "text/html", s.base(v) + "/" + l.GetName()},
		Summary: notice.Phrases(notice.Where(l), notice.Facts(l, trade.US), notice.ClearBy(l)),
	}
}

// atomTime writes all times alike, so that they can be compared as texts.
func atomTime(at time.Time) string { return at.UTC().Format("2006-01-02T15:04:05Z") }

// feeds is the name space of our names: what is named there has the same id under
// whatever address a registry is reached.
var feeds = uuid.NewSHA1(uuid.NameSpaceDNS, []byte("heirpress feeds"))

// named is the id of what has a name, as RFC 9562 makes it (version 5).
func named(name string) string { return "urn:uuid:" + uuid.NewSHA1(feeds, []byte(name)).String() }

// base is the address under which the pages are reached.
func (s *site) base(v *visit) string {
	switch {
	case s.public != nil:
		return s.public.Scheme + "://" + s.public.Host
	case s.TLS:
		return "https://" + v.r.Host
	}
	return "http://" + v.r.Host
}
