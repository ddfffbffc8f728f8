package pages

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/search/score"
	"heirpress/search/trade"
)

// form is the search as it is typed, with what is wrong with it.
type form struct {
	question
	Wrong wrongs
	// Open tells that the further fields are to be seen.
	Open bool
}

func formOf(q question, w wrongs) form {
	return form{question: q, Wrong: w, Open: q.Weight+q.Price+q.Sheet+q.Order+strings.Join(q.States, "") != "" || q.KnownOnly}
}

// State is the one that is asked for, as the form has it.
func (f form) State() string { return strings.Join(f.States, " ") }

// results are the lots found for a question.
type results struct {
	Form form
	// Found says in a sentence how many there are, and of what.
	Found string
	// Notes say how the words were understood.
	Notes []string
	Lots  []lotLine
	// From is the number of the first.
	From int
	// Next and First are the addresses of other pages.
	Next, First string
	// Off are parts of the question that can be taken off.
	Off []choice
	// Facets are ways to ask for less, Relax ways to ask for more.
	Facets []facet
	Relax  []choice
	// Meant are other words that find something.
	Meant choice
	Map   string
	Want  string
	Feed  string
}

// choice is another question, and what it is about.
type choice struct{ Text, Href string }

// facet is a sorting of what was found.
type facet struct {
	By      string
	Choices []choice
}

// lotLine is a lot in a list of lots.
type lotLine struct {
	Href        string
	Title       []piece
	Tag         []piece
	Where, Road string
	ClearBy     string
	Urgent      bool
	Facts       string
	Moving      string
	Says        []piece
	Ask         string
}

func (s *site) front(v *visit) error {
	ctx, cancel := v.calling()
	defer cancel()
	got, err := s.search.SearchLots(ctx, &pb.SearchLotsRequest{Order: pb.LotOrder_LOT_ORDER_NEWEST, PageSize: 8, Facets: true})
	if err != nil {
		return err
	}
	body := results{Form: formOf(question{}, nil), Lots: s.lines(got.GetHits()), From: 1, Feed: "/feed.atom"}
	body.Found = trade.FormatCount(int(got.GetTotalSize()), "lot") + " offered"
	body.Facets = slices.DeleteFunc(facets(question{}, got.GetFacets()), func(f facet) bool { return f.By == "Class" })
	s.show(v, http.StatusOK, "front", view{Title: "The next home for a letterpress shop", Here: "find", Feed: body.Feed, Body: body})
	return nil
}

func (s *site) find(v *visit) error {
	q := questionOf(v.r.URL.Query())
	req, wrong := q.request()
	if len(wrong) > 0 {
		return s.ask(v, q, wrong)
	}
	req.Suggest, req.Facets, req.Highlights = true, true, true
	ctx, cancel := v.calling()
	defer cancel()
	got, err := s.search.SearchLots(ctx, req)
	if wrong, all := wrongsOf(err, formFields); all {
		return s.ask(v, q, wrong)
	}
	if err != nil {
		return err
	}
	body := s.results(q, got)
	s.show(v, http.StatusOK, "find", view{Title: titleOf(q), Here: "find", Feed: body.Feed, Body: body})
	return nil
}

// ask shows a search that could not be made.
func (s *site) ask(v *visit, q question, w wrongs) error {
	f := formOf(q, w)
	f.Open = true
	s.show(v, http.StatusBadRequest, "find", view{Title: "Find lots", Here: "find", Body: results{Form: f}})
	return nil
}

func titleOf(q question) string {
	said := slices.Concat([]string{q.Words}, q.Kinds, q.Classes)
	said = slices.DeleteFunc(said, func(t string) bool { return t == "" })
	if len(said) == 0 {
		return "Lots found"
	}
	return "Lots found: " + strings.Join(said, ", ")
}

func (s *site) results(q question, got *pb.SearchLotsResponse) results {
	r := results{
		Form: formOf(q, nil), Found: found(got), Notes: notes(got), Lots: s.lines(got.GetHits()), From: q.from,
		Off: takenOff(q), Facets: facets(q, got.GetFacets()), Map: q.link("/map"), Want: q.link("/wants/new"), Feed: q.link("/feed.atom"),
	}
	if q.page != "" {
		r.First = q.link("/find")
	}
	if next := got.GetNextPageToken(); next != "" {
		r.Next = nextLink(q, "/find", next, len(got.GetHits()))
	}
	for _, one := range got.GetRelax() {
		r.Relax = append(r.Relax, choice{fmt.Sprintf("%d more %s", one.GetMore(), one.GetDescription()), questionFor(one.GetFilter(), q.Order).link("/find")})
	}
	if other := got.GetDidYouMean(); other != "" {
		meant := questionFor(got.GetSearched(), q.Order)
		meant.Words = other
		r.Meant = choice{other, meant.link("/find")}
	}
	return r
}

func nextLink(q question, path, token string, shown int) string {
	v := q.values()
	v.Set("page", token)
	v.Set("from", fmt.Sprint(q.from+shown))
	return path + "?" + v.Encode()
}

// found says how many lots were found, for what and where.
func found(got *pb.SearchLotsResponse) string {
	said := trade.FormatCount(int(got.GetTotalSize()), "lot") + " found"
	if got.GetTotalSize() == 0 {
		said = "No lot found"
	}
	if w := got.GetSearched().GetWords(); w != "" {
		said += " for “" + w + "”"
	}
	near := got.GetSearched().GetNear()
	if town := got.GetNearTown(); town != nil && near.WithinRoadKm != nil {
		said += fmt.Sprintf(" within %s by road of %s", trade.FormatRoad(near.GetWithinRoadKm(), trade.US), town.GetLabel())
	} else if town != nil {
		said += ", with the way from " + town.GetLabel()
	}
	return said + "."
}

// notes say how words were understood.
func notes(got *pb.SearchLotsResponse) (all []string) {
	if as := got.GetUnderstoodAs(); as != "" {
		all = append(all, as)
	}
	for _, m := range got.GetMendedWords() {
		all = append(all, fmt.Sprintf("No lot has “%s”: taken for “%s”.", m.GetTyped(), m.GetTaken()))
	}
	for _, word := range got.GetUnknownWords() {
		all = append(all, fmt.Sprintf("No lot has “%s”.", word))
	}
	return all
}

// takenOff are the questions without one of the sortings that were chosen.
func takenOff(q question) (all []choice) {
	for _, part := range []struct {
		of  []string
		set func(*question, []string)
	}{
		{q.Kinds, func(q *question, left []string) { q.Kinds = left }},
		{q.Classes, func(q *question, left []string) { q.Classes = left }},
		{q.Regions, func(q *question, left []string) { q.Regions = left }},
	} {
		for i, chosen := range part.of {
			without := q
			part.set(&without, slices.Delete(slices.Clone(part.of), i, i+1))
			all = append(all, choice{regionWord(chosen), without.link("/find")})
		}
	}
	return all
}

// mostChoices is how many sorts of one sorting are shown.
const mostChoices = 12

// facets are what was found, sorted, where there is more than one sort.
func facets(q question, f *pb.Facets) (all []facet) {
	for _, by := range []struct {
		name   string
		counts []*pb.FacetCount
		word   func(string) string
		choose func(*question, string)
	}{
		{"Kind", f.GetKinds(), func(v string) string { return trade.KindWord(pb.Kind(pb.Kind_value[v])) }, func(q *question, w string) { q.Kinds = []string{w} }},
		{"Class", f.GetClasses(), func(v string) string { return trade.ClassWord(pb.Class(pb.Class_value[v])) }, func(q *question, w string) { q.Classes = []string{w} }},
		{"Region", f.GetRegions(), func(v string) string { return v }, func(q *question, w string) { q.Regions = []string{w} }},
	} {
		if len(by.counts) < 2 {
			continue
		}
		one := facet{By: by.name}
		for _, c := range by.counts[:min(mostChoices, len(by.counts))] {
			narrower := q
			by.choose(&narrower, by.word(c.GetValue()))
			one.Choices = append(one.Choices, choice{fmt.Sprintf("%s (%d)", regionWord(by.word(c.GetValue())), c.GetCount()), narrower.link("/find")})
		}
		all = append(all, one)
	}
	return all
}

// regionWord writes "GB/England" as "England, GB", and leaves others alone.
func regionWord(text string) string {
	if country, region, is := strings.Cut(text, "/"); is {
		return region + ", " + country
	}
	return text
}

func (s *site) lines(hits []*pb.SearchHit) (all []lotLine) {
	for _, h := range hits {
		all = append(all, s.line(h))
	}
	return all
}

func (s *site) line(h *pb.SearchHit) lotLine {
	l, spans := h.GetLot(), spansOf(h)
	line := lotLine{
		Href: "/" + l.GetName(), Title: marked(l.GetTitle(), spans["title"]), Tag: marked(l.GetTag(), spans["tag"]),
		Where: notice.Where(l), ClearBy: notice.ClearBy(l), Urgent: notice.IsUrgent(l, s.Clock()),
		Facts: notice.Facts(l, trade.US), Moving: notice.WeightClass(score.WeightClassOf(l)),
		Says: excerpt(l.GetDescription(), spans["description"]),
	}
	if h.RoadMiles != nil {
		line.Road = notice.Road(notice.RoadOf(h.RoadMiles, h.RoadMilesLow, h.RoadMilesHigh), trade.US)
	}
	if len(h.GetUnknown()) > 0 {
		line.Ask = "it does not say its " + strings.Join(h.GetUnknown(), ", ")
	}
	return line
}
