package pages

import (
	"crypto/rand"
	"net/http"
	"net/url"
	"strings"
	"unicode/utf8"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/trade"
)

// wantsPage is what a visitor has lodged.
type wantsPage struct {
	Lists []wantedList
	Form  form
	Next  string
	First string
}

// wantedList is a list in words.
type wantedList struct {
	*pb.WantedList
	ID, Where string
}

func (s *site) wanted(v *visit) error {
	ctx, cancel := v.calling()
	defer cancel()
	token := v.r.URL.Query().Get("page")
	got, err := s.wants.ListWantedLists(ctx, &pb.ListWantedListsRequest{PageSize: 50, PageToken: token})
	if err != nil {
		return err
	}
	page := wantsPage{Form: formOf(question{}, nil)}
	for _, l := range got.GetWantedLists() {
		page.Lists = append(page.Lists, wantedList{l, strings.TrimPrefix(l.GetName(), "wantedLists/"), reachOf(l)})
	}
	if token != "" {
		page.First = "/wants"
	}
	if next := got.GetNextPageToken(); next != "" {
		page.Next = "/wants?page=" + url.QueryEscape(next)
	}
	s.show(v, http.StatusOK, "wants", view{Title: "What you want", Here: "wants", Body: page})
	return nil
}

// reachOf is where a seeker looks from, and how far.
func reachOf(l *pb.WantedList) string {
	from := l.GetTown().GetLabel()
	if l.ReachRoadKm == nil {
		return "any distance from " + from
	}
	return "within " + trade.FormatRoad(l.GetReachRoadKm(), trade.US) + " by road of " + from
}

// newWant is a want on its way: how it was understood, and what it meets today.
type newWant struct {
	Form form
	// Understood is the want in a sentence, and Ready that it can be lodged.
	Understood string
	Ready      bool
	Meets      string
	Lots       []lotLine
	// Title, Email and ID are what lodging it takes besides.
	Title, Email, ID string
}

// plan is a question as a want: the list that it would be, and the filter that it
// asks by.
func (q question) plan() (list *pb.WantedList, all *pb.LotFilter, said string, wrong wrongs) {
	req, wrong := q.request()
	u := search.Understand(req.GetFilter())
	all, said = u.Filter, u.Sentence()
	switch {
	case len(wrong) > 0:
	case q.IsEmpty():
		wrong["q"] = "Say what you want, as a treadle press for 12x18 sheets."
	case all.GetNear().GetPlace() == "":
		wrong["near"] = "Say where you are: what you want is looked for from there."
	}
	if len(wrong) > 0 {
		return nil, all, said, wrong
	}
	want := &pb.Want{Title: wantTitle(q, all), Filter: proto.CloneOf(all)}
	want.Filter.Near = nil // It is the list's.
	list = &pb.WantedList{Place: all.GetNear().GetPlace(), ReachRoadKm: all.GetNear().WithinRoadKm, Wants: []*pb.Want{want}}
	return list, all, said, wrong
}

// wantTitle is what a want is called: as it was typed, or what it asks for.
func wantTitle(q question, f *pb.LotFilter) string {
	title := q.Words
	if title == "" {
		title = strings.Join(append(append([]string{}, q.Kinds...), q.Classes...), ", ")
	}
	if title == "" {
		title = "Anything near " + f.GetNear().GetPlace()
	}
	for utf8.RuneCountInString(title) > 200 {
		_, size := utf8.DecodeLastRuneInString(title)
		title = title[:len(title)-size]
	}
	return title
}

// wantForm shows what a want would meet today, before it is lodged.
func (s *site) wantForm(v *visit) error {
	q := questionOf(v.r.URL.Query())
	if q.IsEmpty() {
		s.show(v, http.StatusOK, "want", view{Title: "Lodge a want", Here: "wants", Body: newWant{Form: formOf(q, nil)}})
		return nil
	}
	return s.preview(v, q, http.StatusOK, newWant{}, nil)
}

func (s *site) preview(v *visit, q question, code int, page newWant, wrong wrongs) error {
	list, filter, said, more := q.plan()
	if len(more) > 0 || list == nil {
		page.Form = formOf(q, more)
		s.show(v, http.StatusBadRequest, "want", view{Title: "Lodge a want", Here: "wants", Body: page})
		return nil
	}
	ctx, cancel := v.calling()
	defer cancel()
	got, err := s.search.SearchLots(ctx, &pb.SearchLotsRequest{Filter: filter, PageSize: 10, Highlights: true})
	if bad, all := wrongsOf(err, formFields); all {
		page.Form = formOf(q, bad)
		s.show(v, http.StatusBadRequest, "want", view{Title: "Lodge a want", Here: "wants", Body: page})
		return nil
	}
	if err != nil {
		return err
	}
	page.Form, page.Understood, page.Ready, page.ID = formOf(q, wrong), said, true, rand.Text()
	if page.Title == "" {
		page.Title = list.GetWants()[0].GetTitle()
	}
	page.Meets, page.Lots = s.meets(got)
	s.show(v, code, "want", view{Title: "Lodge a want", Here: "wants", Body: page})
	return nil
}

// meets is what a want would meet today. A search takes a word that no lot has for
// another; a want waits for the word itself, and so meets nothing yet.
func (s *site) meets(got *pb.SearchLotsResponse) (string, []lotLine) {
	if mended := got.GetMendedWords(); len(mended) > 0 {
		return "It meets nothing today: no lot has “" + mended[0].GetTyped() + "”. Did you mean “" + mended[0].GetTaken() + "”? As it stands, the want waits for the word that you typed.", nil
	}
	if got.GetTotalSize() == 0 {
		return "It meets nothing today. Once lodged, it waits.", nil
	}
	return "Today it meets " + trade.FormatCount(int(got.GetTotalSize()), "lot") + ".", s.lines(got.GetHits())
}

// lodge lodges a want. The same form sent twice lodges one.
func (s *site) lodge(v *visit) error {
	if err := v.r.ParseForm(); err != nil {
		return &refusal{http.StatusBadRequest, words[codes.InvalidArgument].title, "The form came incomplete, or was too long. Please send it again."}
	}
	q := questionOf(v.r.PostForm)
	list, _, _, wrong := q.plan()
	page := newWant{Title: strings.TrimSpace(v.r.PostFormValue("title")), Email: strings.TrimSpace(v.r.PostFormValue("email"))}
	if list == nil {
		return s.preview(v, q, http.StatusBadRequest, page, wrong)
	}
	list.Title = page.Title
	req := &pb.CreateWantedListRequest{WantedList: list, RequestId: v.r.PostFormValue("id")}
	if page.Email != "" {
		req.Delivery = &pb.Delivery{Email: page.Email}
	}
	ctx, cancel := v.calling()
	defer cancel()
	_, err := s.wants.CreateWantedList(ctx, req)
	if status.Code(err) == codes.AlreadyExists {
		return s.preview(v, q, http.StatusConflict, page, wrongs{"title": "You have a list of that name already: call this one something else."})
	}
	if wrong, all := wrongsOf(err, lodgeFields); all {
		return s.preview(v, q, http.StatusBadRequest, page, wrong)
	}
	if err != nil {
		return err
	}
	return s.goTo(v, "/wants")
}

// lodgeFields are the fields of the form that lodges a want.
var lodgeFields = map[string]string{
	"wanted_list.title": "title", "wanted_list.place": "near", "wanted_list.reach_road_km": "within", "wanted_list.wants[0].title": "title",
	"wanted_list.wants[0].filter.words": "q", "delivery.email": "email", "wanted_list.wants[0].filter.near.place": "near",
}

func (s *site) drop(v *visit) error {
	ctx, cancel := v.calling()
	defer cancel()
	if _, err := s.wants.DeleteWantedList(ctx, &pb.DeleteWantedListRequest{Name: "wantedLists/" + v.r.PathValue("list")}); err != nil {
		return err
	}
	return s.goTo(v, "/wants")
}
