package search

import (
	"slices"
	"strconv"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// readTexts gives the tokens of a lot, group by group, and those that it says in
// whatever language in the order in which it says them.
func readTexts(lot *pb.Lot) (texts, runs [groupCount][]string) {
	var typed []string // as the lot has it, and may be looked for
	for _, said := range lotTexts(lot) {
		a := theVocabulary().analyze(said.text)
		texts[said.group], typed = append(texts[said.group], a.own...), append(append(typed, a.typed...), a.numbers...)
		texts[groupAbroad] = append(texts[groupAbroad], a.abroad...)
		runs[said.group] = append(runs[said.group], a.tokens...)
	}
	texts[groupWhat] = what(lot)
	// What it is, it is in any language.
	texts[groupAbroad] = slices.DeleteFunc(texts[groupAbroad], func(token string) bool { return slices.Contains(texts[groupWhat], token) })
	texts[groupKin] = kin(lot, texts, typed)
	runs[groupWhat] = texts[groupWhat]
	return texts, runs
}

// pairsOf lists the words that stand side by side in the groups where that
// tells something.
func pairsOf(texts [groupCount][]string) []string {
	var all []string
	for _, g := range []group{groupName, groupDetail, groupWhat} {
		all = append(all, pairs(texts[g])...)
	}
	return all
}

// pairs joins each token with the one after it, by which words that stand
// together are told from words that only both occur.
func pairs(tokens []string) []string {
	var joined []string
	for i := 1; i < len(tokens); i++ {
		joined = append(joined, tokens[i-1]+" "+tokens[i])
	}
	return joined
}

// lotText is something that a lot says.
type lotText struct {
	group group
	// field is where it says so, as the contract names it; empty for what is
	// written from figures.
	field string
	text  string
}

// lotTexts lists all that a lot says, in words.
func lotTexts(lot *pb.Lot) []lotText {
	texts := []lotText{
		{groupName, "title", lot.GetTitle()}, {groupName, "make", lot.GetMake()}, {groupName, "model", lot.GetModel()},
		{groupTag, "tag", lot.GetTag()},
		{groupDetail, "size_as_written", lot.GetSizeAsWritten()},
	}
	texts = append(texts, detailTexts(lot)...)
	return append(texts,
		lotText{groupShop, "shop_title", lot.GetShopTitle()},
		lotText{groupShop, "town.name", lot.GetTown().GetName()}, lotText{groupShop, "town.region", lot.GetTown().GetRegion()},
		lotText{groupNotes, "description", lot.GetDescription()},
	)
}

// detailTexts lists what a lot's typed detail says in words.
func detailTexts(lot *pb.Lot) []lotText {
	switch d := lot.GetDetail().(type) {
	case *pb.Lot_MetalType:
		return typeTexts("metal_type", d.MetalType)
	case *pb.Lot_WoodType:
		return typeTexts("wood_type", d.WoodType)
	case *pb.Lot_Cuts:
		return []lotText{{groupDetail, "cuts.subject", d.Cuts.GetSubject()}, {groupDetail, "cuts.material", d.Cuts.GetMaterial()}}
	case *pb.Lot_General:
		return []lotText{{groupDetail, "general.material", d.General.GetMaterial()}}
	}
	return nil
}

// typeDetail is what metal and wood type say of themselves.
type typeDetail interface {
	GetFace() string
	GetScheme() string
	GetSize() *pb.TypeSize
}

// typeTexts writes what type says of itself, its body size as people would
// search for it.
func typeTexts(field string, d typeDetail) []lotText {
	size := d.GetSize()
	texts := []lotText{
		{groupDetail, field + ".face", d.GetFace()}, {groupDetail, field + ".scheme", d.GetScheme()},
		{groupDetail, field + ".size.old_name", size.GetOldName()},
	}
	if size.GetPoints() > 0 {
		texts = append(texts, lotText{groupDetail, "", strconv.FormatFloat(size.GetPoints(), 'f', -1, 64) + " point"})
	}
	if size.GetLines() > 0 {
		texts = append(texts, lotText{groupDetail, "", strconv.FormatFloat(size.GetLines(), 'f', -1, 64) + " line"})
	}
	if size.GetSystem() == pb.PointSystem_POINT_SYSTEM_DIDOT {
		texts = append(texts, lotText{groupDetail, "", "didot"})
	}
	return texts
}

// what lists the words for what a lot is: its kind, class, drive and supply, and
// whether it is free.
func what(lot *pb.Lot) []string {
	v := theVocabulary()
	words := append([]string{}, v.classes[lot.GetClass()]...)
	words = append(words, v.kinds[lot.GetKind()]...)
	words = append(words, v.drives[lot.GetPress().GetDrive()]...)
	if price := lot.GetPrice(); price != nil && price.GetUnits() == 0 && price.GetNanos() == 0 {
		words = append(words, "free")
	}
	return append(words, v.supply[max(lot.GetPress().GetSupply(), lot.GetGeneral().GetSupply())]...)
}

// kin lists the words by which a lot can be found though it does not say them,
// each once: other names, other units, and numbers and words as they were typed
// that are written otherwise.
func kin(lot *pb.Lot, texts [groupCount][]string, typed []string) []string {
	v := theVocabulary()
	words := append(typed, v.every...)
	for _, g := range []group{groupName, groupDetail, groupNotes, groupWhat, groupAbroad} {
		words = append(words, v.brought(lot.GetKind(), texts[g])...)
	}
	if strings.ContainsAny(lot.GetModel(), "0123456789") {
		words = append(words, "no", "model")
	}
	press := lot.GetPress()
	words = append(words, rectangleTokens(press.GetChase(), press.GetBed(), press.GetPlaten(), press.GetSheet())...)
	words = append(words, bodyWords(lot, slices.Concat(texts[groupName], texts[groupDetail], texts[groupNotes]))...)
	return unsaid(words, texts)
}

// unsaid leaves out words that the lot says itself, and repeats.
func unsaid(words []string, texts [groupCount][]string) []string {
	said := map[string]bool{}
	for _, tokens := range texts {
		for _, token := range tokens {
			said[token] = true
		}
	}
	var added []string
	for _, word := range words {
		if !said[word] {
			said[word] = true
			added = append(added, word)
		}
	}
	return added
}
