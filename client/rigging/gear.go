package rigging

import (
	"fmt"

	"heirpress/search/trade"
)

// Material is what a tiedown is made of.
type Material int

// Materials of 393.108.
const (
	Webbing Material = iota
	Chain30
	Chain43
	Chain70
	Chain80
	Chain100
	WireRope
	Polypropylene
	Manila
	Nylon
	Polyester
	SteelStrap
)

var materialWords = []string{
	Webbing: "webbing", Chain30: "chain grade 30", Chain43: "chain grade 43", Chain70: "chain grade 70",
	Chain80: "chain grade 80", Chain100: "chain grade 100", WireRope: "wire rope",
	Polypropylene: "polypropylene rope", Manila: "manila rope", Nylon: "nylon rope",
	Polyester: "polyester rope", SteelStrap: "steel strapping",
}

// String names the material: "chain grade 70".
func (m Material) String() string {
	if m < 0 || int(m) >= len(materialWords) {
		return "unknown material"
	}
	return materialWords[m]
}

// What 393.108 takes gear for whose make is not marked.
const (
	UnmarkedChain = Chain30
	UnmarkedRope  = Polypropylene
)

// sized is a row of a table of 393.108: a size in inches and the working load
// limit in pounds.
type sized struct{ in, lb float64 }

// defaultLimits are the tables of 393.108 for gear without a marked limit,
// smallest first. Of rope, wire rope and steel strapping only the sizes that were
// read are here.
var defaultLimits = map[Material][]sized{
	Webbing: {{1.75, 1750}, {2, 2000}, {3, 3000}, {4, 4000}},
	Chain30: {{1. / 4, 1300}, {5. / 16, 1900}, {3. / 8, 2650}, {7. / 16, 3700}, {1. / 2, 4500}, {5. / 8, 6900}},
	Chain43: {{1. / 4, 2600}, {5. / 16, 3900}, {3. / 8, 5400}, {7. / 16, 7200}, {1. / 2, 9200}, {5. / 8, 13000}},
	Chain70: {{1. / 4, 3150}, {5. / 16, 4700}, {3. / 8, 6600}, {7. / 16, 8750}, {1. / 2, 11300}, {5. / 8, 15800}},
	// Grade 80 at 5/16 in is less than grade 70 there: so the rule prints it.
	Chain80:       {{1. / 4, 3500}, {5. / 16, 4500}, {3. / 8, 7100}, {1. / 2, 12000}, {5. / 8, 18100}},
	Chain100:      {{1. / 4, 4300}, {5. / 16, 5700}, {3. / 8, 8800}, {1. / 2, 15000}, {5. / 8, 22600}},
	WireRope:      {{1. / 4, 1400}, {3. / 8, 3000}, {1. / 2, 5300}},
	Polypropylene: {{3. / 8, 400}, {1. / 2, 625}},
	Manila:        {{3. / 8, 205}, {1. / 2, 315}},
	Nylon:         {{3. / 8, 278}, {1. / 2, 525}},
	Polyester:     {{3. / 8, 555}, {1. / 2, 960}},
	// By width; 1 1/4 in is 0.029 in thick and 2 in is 0.05.
	SteelStrap: {{1.25, 1190}, {2, 2650}},
}

// metricSlack is how much smaller gear may be than a row and still count as it:
// 50 mm webbing is sold as 2 in. The tables themselves pair such sizes.
const metricSlack = 0.02

// DefaultLimitKg is the working load limit in kilograms of gear without a marked
// one. A size between two rows counts as the smaller. The error is a *RangeError.
func DefaultLimitKg(m Material, sizeMm float64) (float64, error) {
	rows := defaultLimits[m]
	limit := 0.0
	for _, r := range rows {
		if sizeMm >= r.in*trade.MmPerInch*(1-metricSlack) {
			limit = r.lb * trade.KgPerPound
		}
	}
	if limit == 0 {
		return 0, noDefault(m, sizeMm, rows)
	}
	return limit, nil
}

func noDefault(m Material, sizeMm float64, rows []sized) error {
	want := "there is no table for it: give the working load limit on its tag"
	if len(rows) > 0 {
		want = fmt.Sprintf("the table begins at %s: give the working load limit on its tag",
			trade.FormatLength(rows[0].in*trade.MmPerInch, trade.US))
	}
	return &RangeError{"size in millimetres of " + m.String(), sizeMm, want}
}

// Gear is a kind of tiedown that is at hand.
type Gear struct {
	// Count is how many there are.
	Count int `json:"count"`
	// Name says what it is: "2 in webbing".
	Name string `json:"name"`
	// WLLKg is the working load limit of one, in kilograms.
	WLLKg float64 `json:"wllKg"`
	// Marked is true if the limit is from its tag, and false if it is the rule's
	// default for gear without one.
	Marked bool `json:"marked"`
}
