package search

import (
	"math"
	"slices"
	"strconv"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// Wood type is sold by the line and looked for by the inch, and old founts are
// known by names. What follows lets each be found by the others.

// bodyOff is how far a body may be off the length that somebody looks for: half
// a line, or so much of its length. A design choice: people measure the face, or
// by eye.
const bodyOff = 0.015

// bodyWords lists the tokens by which a body size is found, though the lot says
// it in another unit.
func bodyWords(lot *pb.Lot, said []string) []string {
	switch lot.GetKind() {
	case pb.Kind_KIND_WOOD_TYPE:
		return woodWords(lot.GetWoodType().GetSize().GetLines(), said)
	case pb.Kind_KIND_METAL_TYPE, pb.Kind_KIND_ORNAMENTS:
		return metalWords(lot.GetMetalType().GetSize().GetPoints(), said)
	}
	return nil
}

// woodWords gives a body of wood type in lines, points and millimetres.
func woodWords(lines float64, said []string) []string {
	bodies := measuresIn(said, "line")
	if lines > 0 {
		bodies = append(bodies, lines)
	}
	for _, mm := range measuresIn(said, "mm") {
		if n, _ := trade.LinesOf(mm); n > 0 && n <= mostLines {
			bodies = append(bodies, float64(n))
		}
	}
	var words []string
	for _, n := range bodies {
		if n > mostLines {
			continue
		}
		words = append(words, measureToken(n, "line"), measureToken(12*n, "point"))
		body := n * trade.PicaMm
		off := max(trade.PicaMm/2, bodyOff*body)
		for mm := math.Ceil(body - off); mm <= body+off; mm++ {
			words = append(words, mmToken(mm))
		}
	}
	return words
}

// mostLines is more than any wood type has, as trade bounds it.
const mostLines = 100

// leastLines is where metal type is large enough to be asked for by the line.
const leastLines = 3

// metalWords gives a body of metal type by its old names, and large ones in
// lines. A name that is an everyday word too counts only where no points are
// said.
func metalWords(points float64, said []string) []string {
	bodies := measuresIn(said, "point")
	if points > 0 {
		bodies = append(bodies, points)
	}
	var words []string
	for _, p := range bodies {
		for _, name := range trade.OldNamesFor(p) {
			if slices.Contains(everyday, name) {
				words = append(words, name)
			}
		}
		if lines := p / 12; lines >= leastLines && lines == math.Trunc(lines) {
			words = append(words, measureToken(lines, "line"))
		}
	}
	if len(bodies) == 0 {
		words = everydayNames(said)
	}
	return words
}

// everydayNames reads old names that are everyday words, as pica and english,
// but for the English of Old English.
func everydayNames(said []string) []string {
	var words []string
	for i, word := range said {
		if !slices.Contains(everyday, word) || (i > 0 && said[i-1] == "old") {
			continue
		}
		name, _ := trade.OldNameOf(word)
		for _, p := range name.Points {
			words = append(words, measureToken(p, "point"))
		}
	}
	return words
}

// measuresIn lists the numbers of the tokens in a unit.
func measuresIn(tokens []string, unit string) []float64 {
	var all []float64
	for _, t := range tokens {
		if figures, ok := strings.CutSuffix(t, unit); ok {
			if n, err := strconv.ParseFloat(figures, 64); err == nil && n > 0 {
				all = append(all, n)
			}
		}
	}
	return all
}

// everyday are the old names of sizes that mean other things as well, and so
// stand for their points only in a lot of type that says no other size.
var everyday = []string{"brilliant", "excelsior", "diamond", "pearl", "agate", "ruby", "minion", "pica", "english", "columbian", "paragon", "canon"}

// addOldNames makes one word of an old name and its points, where the name is
// sure and means nothing else.
func (v *vocabulary) addOldNames() {
	for _, n := range trade.OldNames() {
		if n.Conflict() || slices.Contains(everyday, n.Name) {
			continue
		}
		v.addOldName(n.Name, n.Points[0])
		if rest, ok := strings.CutPrefix(n.Name, "double "); ok {
			v.addOldName("two line "+rest, n.Points[0])
		} else if !strings.Contains(n.Name, "line ") {
			v.addOldName("two line "+n.Name, 2*n.Points[0])
		}
	}
}

func (v *vocabulary) addOldName(name string, points float64) {
	to := rule{to: []string{measureToken(points, "point")}}
	_ = v.addRules(v.folds, name, to, v.words) // Only an empty name is an error.
}

func sorted(numbers []float64) []float64 {
	numbers = slices.Clone(numbers)
	slices.Sort(numbers)
	return numbers
}
