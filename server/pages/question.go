package pages

import (
	"net/url"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// question is a search as it stands in the address of a page, each part as it was
// typed.
type question struct {
	Words, Near, Within, Weight, Price, Sheet, Order, Shop string
	Kinds, Classes, States, Regions                        []string
	KnownOnly                                              bool
	// page is the token of a further page, and from the number of its first lot.
	page string
	from int
}

// currency is that of a price without a mark.
const currency = "USD"

func questionOf(asked url.Values) question {
	one := func(name string) string { return strings.ToValidUTF8(strings.TrimSpace(asked.Get(name)), "") }
	from, err := strconv.Atoi(one("from"))
	if err != nil || from < 1 || from > 1e9 {
		from = 1
	}
	return question{
		Words: one("q"), Near: one("near"), Within: one("within"), Weight: one("weight"), Price: one("price"),
		Sheet: one("sheet"), Order: one("order"), Shop: one("shop"),
		Kinds: some(asked["kind"]), Classes: some(asked["class"]), States: some(asked["state"]), Regions: some(asked["region"]),
		KnownOnly: one("known") != "", page: one("page"), from: from,
	}
}

func some(texts []string) (all []string) {
	for _, t := range texts {
		if t = strings.TrimSpace(t); t != "" && utf8.ValidString(t) && !slices.Contains(all, t) {
			all = append(all, t)
		}
	}
	return all
}

// values is the question as it stands in an address, without its page.
func (q question) values() url.Values {
	v := url.Values{}
	for name, text := range map[string]string{
		"q": q.Words, "near": q.Near, "within": q.Within, "weight": q.Weight, "price": q.Price,
		"sheet": q.Sheet, "order": q.Order, "shop": q.Shop,
	} {
		if text != "" {
			v.Set(name, text)
		}
	}
	for name, texts := range map[string][]string{"kind": q.Kinds, "class": q.Classes, "state": q.States, "region": q.Regions} {
		if len(texts) > 0 {
			v[name] = texts
		}
	}
	if q.KnownOnly {
		v.Set("known", "1")
	}
	return v
}

// Values is the question for a form that carries it on.
func (q question) Values() url.Values { return q.values() }

// link is the address of a page about the question.
func (q question) link(path string) string {
	if v := q.values(); len(v) > 0 {
		return path + "?" + v.Encode()
	}
	return path
}

// IsEmpty tells whether nothing is asked.
func (q question) IsEmpty() bool { return len(q.values()) == 0 }

// reader reads the parts of a question, and keeps what is wrong with them.
type reader struct{ wrong wrongs }

func read[T any](r reader, name, text string, parse func(string) (T, error)) (v T) {
	if text == "" {
		return v
	}
	v, err := parse(text)
	if err != nil {
		r.wrong[name] = sentence(err.Error())
	}
	return v
}

func readAll[T any](r reader, name string, texts []string, parse func(string) (T, error)) (all []T) {
	for _, t := range texts {
		all = append(all, read(r, name, t, parse))
	}
	return all
}

var orders = map[string]pb.LotOrder{
	"":        pb.LotOrder_LOT_ORDER_UNSPECIFIED,
	"best":    pb.LotOrder_LOT_ORDER_BEST,
	"nearest": pb.LotOrder_LOT_ORDER_NEAREST,
	"newest":  pb.LotOrder_LOT_ORDER_NEWEST,
}

// request is the question as the registry takes it, and what is wrong with it.
func (q question) request() (*pb.SearchLotsRequest, wrongs) {
	r := reader{wrongs{}}
	f := &pb.LotFilter{
		Words: q.Words, KnownOnly: q.KnownOnly, Regions: q.Regions,
		Kinds: readAll(r, "kind", q.Kinds, trade.ParseKind), Classes: readAll(r, "class", q.Classes, trade.ParseClass),
		States:    readAll(r, "state", q.States, trade.ParseState),
		Sheet:     read(r, "sheet", q.Sheet, trade.ParseRectangle),
		MaxPrice:  read(r, "price", q.Price, func(t string) (*pb.Money, error) { return trade.ParseMoney(t, currency) }),
		MaxMassKg: read(r, "weight", q.Weight, mostMass),
	}
	if q.Shop != "" {
		f.Shop = "shops/" + q.Shop
	}
	within := read(r, "within", q.Within, roadKm)
	switch from := q.placeSaid(f); {
	case from != "":
		f.Near = &pb.Near{Place: from, WithinRoadKm: within}
	case q.Within != "" && r.wrong["within"] == "":
		r.wrong["near"] = sentence(q.Within + " from where? Write a town or a postcode")
	}
	if len(r.wrong) > 0 { // The town is looked up too, so that everything wrong is told at once.
		read(r, "near", q.Near, place.Find)
	}
	order, known := orders[q.Order]
	if !known {
		r.wrong["order"] = "Say best, nearest or newest."
	}
	return &pb.SearchLotsRequest{Filter: f, Order: order, UnderstandWords: true, PageToken: q.page}, r.wrong
}

// placeSaid is the place of a question: the one that was typed for it or, where only
// how far stands by itself, the one that the words say.
func (q question) placeSaid(f *pb.LotFilter) string {
	if q.Near == "" && q.Within != "" {
		return search.Understand(f).Filter.GetNear().GetPlace()
	}
	return q.Near
}

func roadKm(text string) (*float64, error) {
	km, err := trade.ParseRoadKm(text)
	return &km, err
}

// mostMass is the upper end of a weight as written.
func mostMass(text string) (*float64, error) {
	kg, err := trade.ParseMostKg(text)
	if err != nil {
		return nil, err
	}
	return &kg, nil
}

// formFields are the fields of a form that the fields of a search stand in.
var formFields = map[string]string{
	"filter.words": "q", "filter.near.place": "near", "filter.near.within_road_km": "within", "filter.near": "near",
	"filter.max_mass_kg": "weight", "filter.max_price": "price", "filter.max_price.currency_code": "price",
	"filter.sheet.width_mm": "sheet", "filter.sheet.height_mm": "sheet", "filter.sheet": "sheet", "order": "order",
	"filter.regions": "region", "filter.kinds": "kind", "filter.classes": "class", "filter.states": "state",
}

// questionFor is a question that asks for a filter: what is typed to have it.
func questionFor(f *pb.LotFilter, order string) question {
	q := question{Words: f.GetWords(), Order: order, Regions: f.GetRegions(), KnownOnly: f.GetKnownOnly()}
	q.Shop = strings.TrimPrefix(f.GetShop(), "shops/")
	for _, k := range f.GetKinds() {
		q.Kinds = append(q.Kinds, trade.KindWord(k))
	}
	for _, c := range f.GetClasses() {
		q.Classes = append(q.Classes, trade.ClassWord(c))
	}
	for _, s := range f.GetStates() {
		q.States = append(q.States, trade.StateWord(s))
	}
	if near := f.GetNear(); near != nil {
		q.Near = near.GetPlace()
		if near.WithinRoadKm != nil {
			q.Within = plainNumber(near.GetWithinRoadKm()/trade.KmPerMile) + " mi"
		}
	}
	if f.MaxMassKg != nil {
		q.Weight = plainNumber(f.GetMaxMassKg()/trade.KgPerPound) + " lb"
	}
	if f.GetMaxPrice() != nil {
		q.Price = trade.FormatMoney(f.GetMaxPrice())
	}
	if s := f.GetSheet(); s != nil {
		q.Sheet = plainNumber(s.GetWidthMm()) + "x" + plainNumber(s.GetHeightMm()) + " mm"
	}
	return q
}

// plainNumber writes a number to three decimals at most.
func plainNumber(v float64) string {
	text := strconv.FormatFloat(v, 'f', 3, 64)
	return strings.TrimRight(strings.TrimRight(text, "0"), ".")
}
