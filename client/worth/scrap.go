package worth

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// ScrapPrice is what a dealer pays for a metal, as the user was told.
type ScrapPrice struct {
	// Metal is one of Metals.
	Metal string
	// PerKg is in units of the report's currency.
	PerKg float64
}

// Metals are the metals that a price can be given for.
func Metals() []string {
	return []string{"type metal", "iron", "steel", "brass", "copper", "zinc", "aluminum"}
}

// ParseScrap reads what a dealer pays: "0.35/lb" for type metal, "iron=0.08/lb",
// "brass = $2.10 / kg". The price must be in the currency given.
func ParseScrap(text, currency string) (ScrapPrice, error) {
	metal, price, named := strings.Cut(text, "=")
	if !named {
		metal, price = "type metal", text
	}
	metal = strings.ToLower(strings.TrimSpace(metal))
	switch metal {
	case "lead", "type":
		metal = "type metal"
	case "aluminium":
		metal = "aluminum"
	}
	if !slices.Contains(Metals(), metal) {
		return ScrapPrice{}, fmt.Errorf("%q is not a metal here: write one of %s", metal, strings.Join(Metals(), ", "))
	}
	amount, unit, ok := strings.Cut(price, "/")
	per := map[string]float64{"lb": trade.KgPerPound, "lbs": trade.KgPerPound, "pound": trade.KgPerPound, "kg": 1}[strings.ToLower(strings.TrimSpace(unit))]
	if !ok || per == 0 {
		return ScrapPrice{}, errors.New("say what a pound or a kilogram brings, as 0.35/lb or iron=0.20/kg")
	}
	m, err := trade.ParseMoney(strings.TrimSpace(amount), currency)
	if err != nil {
		return ScrapPrice{}, err
	}
	if m.GetCurrencyCode() != currency {
		return ScrapPrice{}, fmt.Errorf("is in %s, and this report is in %s", m.GetCurrencyCode(), currency)
	}
	return ScrapPrice{metal, float(m) / per}, nil
}

// Floor is what the metal of a lot would bring, in units of the currency, and what
// that would cost the trade.
type Floor struct {
	Metal string  `json:"metal"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	// Words say what it rests on and what would be lost.
	Words []string `json:"words"`
}

// metalOf is what a lot is mostly made of; empty where it is no metal, or nobody
// has said. Common practice.
func metalOf(l *pb.Lot) string {
	said := strings.ToLower(strings.Join([]string{l.GetGeneral().GetMaterial(), l.GetCuts().GetMaterial(), l.GetTitle()}, " "))
	switch l.GetKind() {
	case pb.Kind_KIND_PRESS, pb.Kind_KIND_CUTTERS:
		return "iron"
	case pb.Kind_KIND_CASTERS:
		if strings.Contains(said, "matri") || strings.Contains(said, "mats") {
			return "brass"
		}
		return "iron"
	case pb.Kind_KIND_WOOD_TYPE:
		return ""
	}
	if l.GetClass() == pb.Class_CLASS_IMPOSING_STONE || strings.Contains(said, "wood") || strings.Contains(said, "reglet") || strings.Contains(said, "marble") {
		return ""
	}
	for _, m := range []string{"brass", "copper", "zinc", "steel", "iron", "aluminum"} {
		if strings.Contains(said, m) {
			return m
		}
	}
	switch l.GetKind() {
	case pb.Kind_KIND_METAL_TYPE, pb.Kind_KIND_SPACING, pb.Kind_KIND_ORNAMENTS:
		return "type metal"
	}
	return ""
}

// floor is what the metal would bring; nil where it is no metal, its weight is
// not known, or no price was given.
func (in *Input) floor(l *pb.Lot, s Spread) *Floor {
	metal, weight := metalOf(l), trade.WeightOf(l)
	i := slices.IndexFunc(in.Scrap, func(p ScrapPrice) bool { return p.Metal == metal })
	if i < 0 || !weight.Known {
		return nil
	}
	recovered := in.recovery()
	f := &Floor{Metal: metal, Low: weight.LowKg * in.Scrap[i].PerKg * recovered, High: weight.HighKg * in.Scrap[i].PerKg * recovered}
	f.Words = append(f.Words, in.floorGround(weight, recovered), lost(l, metal, weight))
	if s.Median != nil {
		f.Words = append(f.Words, in.against(*s.Median, f))
	}
	return f
}

// recovery is how much of the weight is paid for: all, if nobody says otherwise.
func (in *Input) recovery() float64 {
	if in.Recovery == nil {
		return 1
	}
	return *in.Recovery
}

func (in *Input) floorGround(w trade.Estimate, recovered float64) string {
	text := "by the price that you gave, all of its weight counted as that metal, haulage not taken off"
	if recovered < 1 {
		text = fmt.Sprintf("by the price that you gave, %.0f percent of its weight counted as that metal, haulage not taken off", 100*recovered)
	}
	if w.Grounds == pb.Grounds_GROUNDS_ESTIMATED {
		text += "; the weight is estimated"
	}
	return text
}

// pageKg is the type of a page: 6 by 9 in of 12 point, 54 square inches at 3.2 to
// the pound, 16.9 lb (common practice; calculated).
const pageKg = 54 / 3.2 * trade.KgPerPound

// lost is what melting would cost the trade, in plain words.
func lost(l *pb.Lot, metal string, w trade.Estimate) string {
	switch {
	case l.GetKind() == pb.Kind_KIND_METAL_TYPE:
		return fmt.Sprintf("Melted, it is type for about %.0f pages of 6 by 9 in that nobody can set again; few founts are cast any more, and none of many faces.", max(w.MidKg()/pageKg, 1))
	case l.GetKind() == pb.Kind_KIND_PRESS:
		return "Broken up, it is one press fewer: nobody makes them any more, and its parts would have kept others at work."
	case metal == "brass" && l.GetKind() == pb.Kind_KIND_CASTERS:
		return "Melted, no face that these matrices cast can be cast from them again."
	}
	return "Melted or broken up, it serves no printer again; what was made for this trade is hardly made any more."
}

func (in *Input) against(median float64, f *Floor) string {
	if median > f.High {
		return fmt.Sprintf("The like has fetched about %s, whole: melting would throw away about %s of that.", about(median, in.Currency), about(median-f.High, in.Currency))
	}
	return fmt.Sprintf("The like has fetched about %s, no more than the metal: that is when things are lost. A home that pays the metal's price is all it takes to keep it.", about(median, in.Currency))
}
