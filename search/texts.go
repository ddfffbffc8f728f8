package search

import (
	"strconv"

	pb "heirpress/proto/heirpress/v1"
)

// readTexts gives the tokens of a lot, group by group.
func readTexts(lot *pb.Lot) [groupCount][]string {
	var texts [groupCount][]string
	texts[groupName] = analyzeAll(lot.GetTitle(), lot.GetMake(), lot.GetModel())
	texts[groupTag] = Analyze(lot.GetTag())
	texts[groupDetail] = analyzeAll(detailTexts(lot)...)
	texts[groupShop] = Analyze(lot.GetShopTitle())
	texts[groupNotes] = Analyze(lot.GetDescription())
	texts[groupKin] = kin(lot, texts)
	return texts
}

func analyzeAll(texts ...string) []string {
	var tokens []string
	for _, text := range texts {
		tokens = append(tokens, Analyze(text)...)
	}
	return tokens
}

// detailTexts lists what a lot's sizes and typed detail say in words.
func detailTexts(lot *pb.Lot) []string {
	texts := []string{lot.GetSizeAsWritten()}
	switch d := lot.GetDetail().(type) {
	case *pb.Lot_MetalType:
		texts = append(texts, d.MetalType.GetFace(), d.MetalType.GetScheme())
		texts = append(texts, sizeTexts(d.MetalType.GetSize())...)
	case *pb.Lot_WoodType:
		texts = append(texts, d.WoodType.GetFace(), d.WoodType.GetScheme())
		texts = append(texts, sizeTexts(d.WoodType.GetSize())...)
	case *pb.Lot_Cuts:
		texts = append(texts, d.Cuts.GetSubject(), d.Cuts.GetMaterial())
	case *pb.Lot_General:
		texts = append(texts, d.General.GetMaterial())
	}
	return texts
}

// sizeTexts writes a body size as people would search for it.
func sizeTexts(size *pb.TypeSize) []string {
	texts := []string{size.GetOldName()}
	if size.GetPoints() > 0 {
		texts = append(texts, strconv.FormatFloat(size.GetPoints(), 'f', -1, 64)+" point")
	}
	if size.GetLines() > 0 {
		texts = append(texts, strconv.FormatFloat(size.GetLines(), 'f', -1, 64)+" line")
	}
	return texts
}

// kin lists the words by which the vocabulary lets a lot be found though the
// lot does not say them, each once.
func kin(lot *pb.Lot, texts [groupCount][]string) []string {
	v := theVocabulary()
	words := append([]string{}, v.kinds[lot.GetKind()]...)
	words = append(words, v.classes[lot.GetClass()]...)
	words = append(words, v.drives[lot.GetPress().GetDrive()]...)
	for _, g := range []group{groupName, groupDetail, groupNotes} {
		words = append(words, v.brought(texts[g])...)
	}
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
