package rigging

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"heirpress/search/trade"
)

var (
	gearRE  = regexp.MustCompile(`^(?:(\d{1,3}) ?[x×] ?)?(.*?)(?:,? (?:wll|marked|rated)\s+(.+))?$`)
	gradeRE = regexp.MustCompile(`\b(?:grade ?|g)(\d{2,3})\b`)
)

// parseGear reads tiedowns: "4 x 2 in webbing", "2 x 3/8 in chain grade 70",
// "2 in ratchet strap WLL 3,335 lb". The limit on the tag goes before the rule's
// default for gear without one. A count comes with an x after it; without one
// there is one.
func parseGear(text string) (Gear, error) {
	m := gearRE.FindStringSubmatch(strings.ToLower(strings.TrimSpace(text)))
	if m == nil {
		return Gear{}, notGear(text)
	}
	g := Gear{Count: 1}
	if m[1] != "" {
		g.Count, _ = strconv.Atoi(m[1])
	}
	material, size, err := materialOf(m[2])
	if err != nil || g.Count < 1 {
		return Gear{}, notGear(text)
	}
	g.Name = strings.TrimSpace(size + " " + material.String())
	if m[3] != "" {
		g.Marked = true
		g.WLLKg, err = parseMass(m[3])
		return g, err
	}
	mm, err := trade.ParseLength(size, trade.Inch)
	if err != nil || !unitRE.MatchString(size) {
		return Gear{}, notGear(text)
	}
	g.WLLKg, err = DefaultLimitKg(material, mm)
	return g, err
}

func notGear(text string) error {
	return fmt.Errorf("%q is not a tiedown: write how many, the size and what it is, as 4 x 2 in webbing, 2 x 3/8 in chain grade 70 or 2 x 50 mm strap WLL 1500 kg", text)
}

// materialWord is a word that tells a material.
type materialWord struct {
	word string
	is   Material
}

// materialNames are tried in order: "steel strap" and "wire rope" come before
// "strap" and "rope". Unmarked chain and rope are what the rule takes them for.
var materialNames = []materialWord{
	{"steel strapping", SteelStrap}, {"steel strap", SteelStrap},
	{"wire rope", WireRope}, {"wire cable", WireRope},
	{"webbing", Webbing}, {"ratchet straps", Webbing}, {"ratchet strap", Webbing}, {"straps", Webbing}, {"strap", Webbing},
	{"polypropylene rope", Polypropylene}, {"manila rope", Manila}, {"nylon rope", Nylon}, {"polyester rope", Polyester},
	{"chains", UnmarkedChain}, {"chain", UnmarkedChain}, {"rope", UnmarkedRope},
}

var grades = map[string]Material{"30": Chain30, "43": Chain43, "70": Chain70, "80": Chain80, "100": Chain100}

// materialOf parts "3/8 in chain grade 70" into the material and the size.
func materialOf(text string) (Material, string, error) {
	grade := gradeRE.FindStringSubmatch(text)
	text = gradeRE.ReplaceAllString(text, "")
	for _, n := range materialNames {
		if !strings.Contains(text, n.word) {
			continue
		}
		is := n.is
		if grade != nil {
			chain, known := grades[grade[1]]
			if !known || is != UnmarkedChain {
				return 0, "", fmt.Errorf("no such grade")
			}
			is = chain
		}
		return is, strings.Trim(strings.Replace(text, n.word, "", 1), " ,"), nil
	}
	return 0, "", fmt.Errorf("no such material")
}
