package notice

import (
	"fmt"
	"slices"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// Facts is what there is to say about a lot in a line, in a set order, without
// its day.
func Facts(l *pb.Lot, u trade.Units) string {
	return Phrases(Weight(l, u), Price(l), trade.ConditionWord(l.GetCondition()), missing(l.GetParts()), state(l))
}

// Phrases puts what there is to say in a row.
func Phrases(all ...string) string {
	return strings.Join(slices.DeleteFunc(all, func(t string) bool { return t == "" }), "; ")
}

// Weight is what a lot weighs: as given, estimated, or "weight not known".
func Weight(l *pb.Lot, u trade.Units) string {
	if l.GetWeight() != nil {
		return trade.FormatWeight(l.GetWeight(), u)
	}
	e := trade.WeightOf(l)
	if !e.Known {
		return "weight not known"
	}
	return trade.FormatMassRange(e.LowKg, e.HighKg, u) + ", estimated"
}

// Price is what is asked for a lot, or "price not said".
func Price(l *pb.Lot) string {
	p := l.GetPrice()
	switch {
	case p == nil:
		return "price not said"
	case p.GetUnits() == 0 && p.GetNanos() == 0:
		return "free to a good home"
	}
	return trade.FormatMoney(p)
}

// ClearBy is the day by which a lot has to go, empty if there is none.
func ClearBy(l *pb.Lot) string {
	if l.GetClearBy() == nil {
		return ""
	}
	return "clear by " + trade.FormatDate(l.GetClearBy())
}

func missing(p *pb.Parts) string {
	switch {
	case p == nil:
		return ""
	case len(p.GetMissing()) > 0:
		return "missing: " + strings.Join(p.GetMissing(), ", ")
	case p.GetRestComplete():
		return "complete"
	}
	return ""
}

// state says where a lot stands, unless it is open to seekers as most are.
func state(l *pb.Lot) string {
	if l.GetState() == pb.LotState_LOT_STATE_OFFERED {
		return ""
	}
	return trade.StateWord(l.GetState())
}

// Where is the shop and town of a lot.
func Where(l *pb.Lot) string { return l.GetShopTitle() + ", " + l.GetTown().GetLabel() }

// Road is a way by road with its range, where that is known.
func Road(r *place.Road, u trade.Units) string {
	switch {
	case r == nil:
		return "distance not known"
	case r.None:
		return "no road there"
	case r.HighKm == 0:
		return "in the same town"
	case r.Routed:
		return trade.FormatRoad(r.Km, u) + " by road (by the registry's routing service)"
	}
	return fmt.Sprintf("%s by road (estimated %s to %s)", trade.FormatRoad(r.Km, u), trade.FormatRoad(r.LowKm, u), trade.FormatRoad(r.HighKm, u))
}

// RoadOf is the way that a hit or an alert carries in miles; nil if it carries
// none.
func RoadOf(miles, low, high *float64) *place.Road {
	if miles == nil || low == nil || high == nil {
		return nil
	}
	return &place.Road{Km: *miles * place.KmPerMile, LowKm: *low * place.KmPerMile, HighKm: *high * place.KmPerMile}
}

// Fit is a fit's score in words: "82 of 100", and the span if there is one.
func Fit(f *pb.Fit) string { return Span(f.GetScore(), f.GetLow(), f.GetHigh()) }

// Span is a score of 0 to 100 in words, with its span if there is one.
func Span(score, low, high float64) string {
	if high-low < 1 {
		return fmt.Sprintf("%.0f of 100", score)
	}
	return fmt.Sprintf("%.0f of 100 (%.0f to %.0f)", score, low, high)
}

var factorWords = map[pb.Factor]string{
	pb.Factor_FACTOR_DISTANCE:     "distance",
	pb.Factor_FACTOR_RIGGING:      "rigging",
	pb.Factor_FACTOR_COMPLETENESS: "completeness",
}

// Part is one part's score in words: "distance 84 (70 to 95)".
func Part(p *pb.FitPart) string {
	text := fmt.Sprintf("%s %.0f", factorWords[p.GetFactor()], p.GetScore())
	if p.GetHigh()-p.GetLow() >= 1 {
		text += fmt.Sprintf(" (%.0f to %.0f)", p.GetLow(), p.GetHigh())
	}
	return text
}

// LotID is a lot's name as it is typed: "shop/tag".
func LotID(name string) string {
	return strings.Replace(strings.TrimPrefix(name, "shops/"), "/lots/", "/", 1)
}
