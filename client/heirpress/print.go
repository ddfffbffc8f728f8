package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// printf prints a part of the answer.
func (a *app) printf(format string, args ...any) {
	fmt.Fprintf(a.out, format, args...)
}

// printJSON prints a message of the contract as one line.
func (a *app) printJSON(m proto.Message) error {
	line, err := jsonOf(m)
	if err != nil {
		return err
	}
	a.printf("%s\n", line)
	return nil
}

// jsonOf is a message in its JSON mapping. The library varies its spacing on
// purpose; here the same message is always the same line.
func jsonOf(m proto.Message) (json.RawMessage, error) {
	raw, err := protojson.Marshal(m)
	if err != nil {
		return nil, err
	}
	var line bytes.Buffer
	if err := json.Compact(&line, raw); err != nil {
		return nil, err
	}
	return line.Bytes(), nil
}

// printLine prints any value as one line of JSON.
func (a *app) printLine(v any) error {
	line, err := json.Marshal(v)
	if err != nil {
		return err
	}
	a.printf("%s\n", line)
	return nil
}

// gap sets what is told apart from what was told before.
func (a *app) gap() {
	if a.told {
		a.printf("\n")
	}
	a.told = true
}

// facts is what there is to say about a lot in a line or two, in a set order.
func (a *app) facts(l *pb.Lot) string {
	return phrases(a.ownFacts(l), dayFact(l))
}

// factsInShop is the same among lots of one shop, whose day has been said.
func (a *app) factsInShop(l *pb.Lot) string {
	if l.GetClearByFromShop() {
		return a.ownFacts(l)
	}
	return a.facts(l)
}

func (a *app) ownFacts(l *pb.Lot) string {
	return phrases(a.weightFact(l), priceFact(l), trade.ConditionWord(l.GetCondition()), missingFact(l.GetParts()), stateFact(l))
}

// phrases puts what there is to say in a row.
func phrases(all ...string) string { return strings.Join(nonEmpty(all...), "; ") }

func nonEmpty(texts ...string) []string {
	return slices.DeleteFunc(texts, func(t string) bool { return t == "" })
}

// stateFact says where a lot stands, unless it is open to seekers as most are.
func stateFact(l *pb.Lot) string {
	if l.GetState() == pb.LotState_LOT_STATE_OFFERED {
		return ""
	}
	return trade.StateWord(l.GetState())
}

func dayFact(l *pb.Lot) string {
	if l.GetClearBy() == nil {
		return ""
	}
	return "clear by " + trade.FormatDate(l.GetClearBy())
}

func (a *app) weightFact(l *pb.Lot) string {
	if l.GetWeight() != nil {
		return trade.FormatWeight(l.GetWeight(), a.unitSystem())
	}
	e := trade.WeightOf(l)
	if !e.Known {
		return "weight not known"
	}
	return trade.FormatMassRange(e.LowKg, e.HighKg, a.unitSystem()) + ", estimated"
}

func priceFact(l *pb.Lot) string {
	p := l.GetPrice()
	switch {
	case p == nil:
		return "price not said"
	case p.GetUnits() == 0 && p.GetNanos() == 0:
		return "free to a good home"
	}
	return trade.FormatMoney(p)
}

func missingFact(p *pb.Parts) string {
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

// where is the shop and town of a lot.
func where(l *pb.Lot) string {
	return l.GetShopTitle() + ", " + l.GetTown().GetLabel()
}

// road is a way by road with its range, where that is known.
func (a *app) road(r *place.Road) string {
	u := a.unitSystem()
	switch {
	case r == nil:
		return "distance not known"
	case r.None:
		return "no road there"
	case r.HighKm == 0:
		return "in the same town"
	}
	return fmt.Sprintf("%s by road (estimated %s to %s)", trade.FormatRoad(r.Km, u), trade.FormatRoad(r.LowKm, u), trade.FormatRoad(r.HighKm, u))
}

// roadOf is the way that a hit or an alert carries in miles.
func roadOf(miles, low, high *float64) *place.Road {
	if miles == nil || low == nil || high == nil {
		return nil
	}
	return &place.Road{Km: *miles * place.KmPerMile, LowKm: *low * place.KmPerMile, HighKm: *high * place.KmPerMile}
}

// count is a number of things in words: "1 lot", "2 lots".
func count(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}
