package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/search/trade"
)

type findFlags struct {
	near, within, sheet, maxWeight, maxPrice string
	order, shop                              string
	kinds, classes, states                   []string
	limit                                    int
	knownOnly, facets                        bool
	chart                                    mapped
}

func (a *app) find() *cobra.Command {
	var f findFlags
	c := &cobra.Command{
		Use:   "find [WORDS...]",
		Short: "find lots",
		Long: `Find lots by words, kind, class, place, weight, price and the sheet a press prints.

Every word must occur, in any of its trade forms. Words about place, distance,
weight, price or sheet are understood as the flags are, and flags win over them. A
word that no lot has is taken for the one most like it. A lot that does not say its
weight, price or size is shown all the same, with what there is to ask, unless
--known-only is given.`,
		Example: `  heirpress find platen --near "Dayton, OH" --within 300mi
  heirpress find treadle press within 200 miles of Toledo under 1500 lb
  heirpress find --kind press --sheet 12x18in --max-weight 2500lb --near 45402
  heirpress find gothic --kind "wood type" --max-price 400 --order newest`,
		RunE: func(c *cobra.Command, words []string) error {
			req, err := a.findRequest(c, words, f)
			if err != nil {
				return err
			}
			return a.with(c.Context(), func(conn *client.Client) error { return a.findAll(c.Context(), conn, req, &f) })
		},
	}
	a.findFlags(c, &f)
	return c
}

func (a *app) findFlags(c *cobra.Command, f *findFlags) {
	fs := c.Flags()
	fs.StringVar(&f.near, "near", "", "a `town`, ZIP code or coordinates")
	fs.StringVar(&f.within, "within", "", "a `distance` by road from --near, as 300mi or 480km")
	fs.StringSliceVar(&f.kinds, "kind", nil, "a `kind` of lot, as press or wood type; may be given again")
	fs.StringSliceVar(&f.classes, "class", nil, "a `class` of machine or furniture, as platen jobber; may be given again")
	fs.StringVar(&f.sheet, "sheet", "", "a `sheet` that a press must print, as 12x18in")
	fs.StringVar(&f.maxWeight, "max-weight", "", "the greatest `weight`, as 1200lb")
	fs.StringVar(&f.maxPrice, "max-price", "", "the highest `price`, as 900; free lots count as 0")
	fs.StringSliceVar(&f.states, "state", nil, "a `state`: offered (the usual), promised, rehomed, withdrawn, draft, proofed")
	fs.StringVar(&f.shop, "shop", "", "only lots of the shop with this `ID`")
	fs.StringVar(&f.order, "order", "best", "the `order`: best, nearest or newest first")
	fs.IntVar(&f.limit, "limit", 20, "show at most this `number`")
	fs.BoolVar(&f.facets, "facets", false, "after the lots, count all that were found by kind, class, state and region")
	fs.BoolVar(&f.knownOnly, "known-only", false, "leave out lots that do not say what is asked")
	f.chart.flag(fs)
	complete(c, "kind", kindWords)
	complete(c, "class", classWords)
	complete(c, "state", stateWords)
	complete(c, "order", func() []string { return []string{"best", "nearest", "newest"} })
}

// complete offers a flag's values to the shell.
func complete(c *cobra.Command, flag string, values func() []string) {
	err := c.RegisterFlagCompletionFunc(flag, func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return values(), cobra.ShellCompDirectiveNoFileComp
	})
	if err != nil {
		panic(err) // the flag does not exist: a fault of the line above
	}
}

func kindWords() []string {
	var words []string
	for _, k := range trade.Kinds() {
		words = append(words, trade.KindWord(k))
	}
	return words
}

func classWords() []string {
	var words []string
	for _, k := range trade.Classes() {
		words = append(words, trade.ClassWord(k))
	}
	return words
}

func stateWords() []string {
	var words []string
	for s := pb.LotState_LOT_STATE_DRAFT; s <= pb.LotState_LOT_STATE_WITHDRAWN; s++ {
		words = append(words, trade.StateWord(s))
	}
	return words
}

// shopName is a shop's resource name, from its ID or its name.
func shopName(id string) string {
	if id == "" {
		return ""
	}
	return "shops/" + strings.TrimPrefix(id, "shops/")
}

var orders = map[string]pb.LotOrder{
	"best":    pb.LotOrder_LOT_ORDER_BEST,
	"nearest": pb.LotOrder_LOT_ORDER_NEAREST,
	"newest":  pb.LotOrder_LOT_ORDER_NEWEST,
}

func (a *app) findRequest(c *cobra.Command, words []string, f findFlags) (*pb.SearchLotsRequest, error) {
	filter, err := a.findFilter(words, f)
	if err != nil {
		return nil, wrongUsage(c, err.Error())
	}
	for _, text := range append(words, f.near, f.shop) {
		if !utf8.ValidString(text) {
			return nil, wrongUsage(c, fmt.Sprintf("%q is no text: write it in UTF-8", text))
		}
	}
	order, known := orders[f.order]
	if !known {
		return nil, wrongUsage(c, fmt.Sprintf("--order is %q: say best, nearest or newest", f.order))
	}
	if f.limit < 1 {
		return nil, wrongUsage(c, fmt.Sprintf("--limit is %d: say how many to show, at least 1", f.limit))
	}
	if !c.Flags().Changed("order") {
		order = pb.LotOrder_LOT_ORDER_UNSPECIFIED // The words may say which.
	}
	return &pb.SearchLotsRequest{Filter: filter, Order: order, UnderstandWords: true, Suggest: true, Facets: true, Highlights: true}, nil
}

func (a *app) findFilter(words []string, f findFlags) (*pb.LotFilter, error) {
	p := flagParser{}
	filter := &pb.LotFilter{
		Words:     strings.Join(words, " "),
		KnownOnly: f.knownOnly,
		Shop:      shopName(f.shop),
		Near:      p.near(f.near, f.within),
		Sheet:     parse(&p, "sheet", f.sheet, trade.ParseRectangle),
		MaxMassKg: parse(&p, "max-weight", f.maxWeight, mostMass),
		MaxPrice:  parse(&p, "max-price", f.maxPrice, func(t string) (*pb.Money, error) { return trade.ParseMoney(t, a.currency) }),
		Kinds:     parseEach(&p, "kind", f.kinds, trade.ParseKind),
		Classes:   parseEach(&p, "class", f.classes, trade.ParseClass),
		States:    parseEach(&p, "state", f.states, trade.ParseState),
	}
	return filter, p.err
}

// flagParser keeps the first thing that is wrong with the flags.
type flagParser struct{ err error }

func (p *flagParser) wrong(flag string, err error) {
	if p.err == nil {
		p.err = fmt.Errorf("--%s: %w", flag, err)
	}
}

// parse reads a flag's text, and nothing from an empty one.
func parse[T any](p *flagParser, flag, text string, read func(string) (*T, error)) *T {
	if text == "" {
		return nil
	}
	v, err := read(text)
	if err != nil {
		p.wrong(flag, err)
	}
	return v
}

func parseEach[T any](p *flagParser, flag string, texts []string, read func(string) (T, error)) []T {
	var all []T
	for _, t := range texts {
		v, err := read(t)
		if err != nil {
			p.wrong(flag, err)
		}
		all = append(all, v)
	}
	return all
}

func (p *flagParser) near(town, within string) *pb.Near {
	if town == "" {
		if within != "" {
			p.wrong("within", fmt.Errorf("%s of what? add --near TOWN", within))
		}
		return nil
	}
	return &pb.Near{Place: town, WithinRoadKm: parse(p, "within", within, roadKm)}
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

const largestPage = 1000

// findAll prints hits, page after page, up to the limit.
func (a *app) findAll(ctx context.Context, conn *client.Client, req *pb.SearchLotsRequest, f *findFlags) error {
	shown, total, limit := 0, 0, f.limit
	var first *pb.SearchLotsResponse
	for {
		req.PageSize = int32(min(limit-shown, largestPage))
		got, err := conn.Search.SearchLots(ctx, req)
		if err != nil {
			return err
		}
		if total = int(got.GetTotalSize()); shown == 0 {
			a.tellFound(got)
			first = got
			f.chart.from(got.GetNearTown(), got.GetSearched().GetNear().GetWithinRoadKm())
			req.Facets = false // They are the same on every page.
		}
		for _, hit := range got.GetHits() {
			shown++
			f.chart.add(hit.GetLot(), "", -1)
			if err := a.printHit(shown, hit); err != nil {
				return err
			}
		}
		if req.PageToken = got.GetNextPageToken(); req.PageToken == "" || shown >= limit {
			break
		}
	}
	if err := a.tellFacets(first, f.facets); err != nil {
		return err
	}
	if err := a.draw(&f.chart, "Lots found: "+trade.FormatCount(shown, "lot")); err != nil {
		return err
	}
	for _, r := range first.GetRelax() {
		a.note("%d more %s.", r.GetMore(), r.GetDescription())
	}
	if shown == 0 {
		a.note("To hear of it when one turns up, lodge a want: heirpress want --help")
		return errNothing
	}
	if shown < total {
		a.note("%d of %d shown; --limit %d shows all", shown, total, total)
	}
	return nil
}

// tellFound says how the question was understood, and how many were found.
func (a *app) tellFound(got *pb.SearchLotsResponse) {
	if as := got.GetUnderstoodAs(); as != "" {
		a.note("%s", as)
	}
	for _, m := range got.GetMendedWords() {
		a.note("No lot has %q: taken for %q.", m.GetTyped(), m.GetTaken())
	}
	said := trade.FormatCount(int(got.GetTotalSize()), "lot") + " found"
	if got.GetTotalSize() == 0 {
		said = "No lot found"
	}
	if w := got.GetSearched().GetWords(); w != "" {
		if !strings.Contains(w, `"`) {
			w = strconv.Quote(w)
		}
		said += " for " + w
	}
	near := got.GetSearched().GetNear()
	if town := got.GetNearTown(); town != nil && near.WithinRoadKm != nil {
		said += fmt.Sprintf(" within %s by road of %s", trade.FormatRoad(near.GetWithinRoadKm(), a.unitSystem()), town.GetLabel())
	} else if town != nil {
		said += ", with the way from " + town.GetLabel()
	}
	a.note("%s.", said)
	for _, word := range got.GetUnknownWords() {
		if word != got.GetSearched().GetWords() {
			a.note("No lot has %q.", word)
		}
	}
	if other := got.GetDidYouMean(); other != "" {
		a.note("Did you mean %q?", other)
	}
}

func (a *app) printHit(n int, hit *pb.SearchHit) error {
	if a.json {
		return a.printJSON(hit)
	}
	l := hit.GetLot()
	marks := marksOf(hit)
	a.printf("%d. %s, tag %s\n", n, a.emphasise(l.GetTitle(), marks["title"]), a.emphasise(l.GetTag(), marks["tag"]))
	place := notice.Where(l)
	if hit.RoadMiles != nil {
		place += "; " + notice.Road(notice.RoadOf(hit.RoadMiles, hit.RoadMilesLow, hit.RoadMilesHigh), a.unitSystem())
	}
	a.printf("   %s\n", place)
	a.printf("   %s\n", a.facts(l))
	if says := a.snippet(l, marks); says != "" {
		a.printf("   says: %s\n", says)
	}
	if len(hit.GetUnknown()) > 0 {
		a.printf("   ask: the lot does not say its %s\n", strings.Join(hit.GetUnknown(), ", "))
	}
	a.printf("   %s\n", client.ID(l.GetName()))
	return nil
}
