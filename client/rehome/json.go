package rehome

import (
	"bytes"
	"encoding/json"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
)

// Line is one line of a plan in JSON: a lot with its home, or without one, or the
// plan as a whole, which comes last.
type Line struct {
	Lot  json.RawMessage `json:"lot,omitempty"`
	To   string          `json:"to,omitempty"`
	List string          `json:"list,omitempty"`
	Want string          `json:"want,omitempty"`
	Fit  json.RawMessage `json:"fit,omitempty"`
	Why  []string        `json:"why,omitempty"`
	Left bool            `json:"left,omitempty"`
	Do   string          `json:"do,omitempty"`
	Plan *Totals         `json:"plan,omitempty"`
}

// Totals is a plan as a whole.
type Totals struct {
	Lots         int           `json:"lots"`
	Lists        int           `json:"lists"`
	Placed       int           `json:"placed"`
	Points       int64         `json:"points"`
	Bound        int64         `json:"bound"`
	Greedy       int64         `json:"greedy"`
	Proven       bool          `json:"proven"`
	Whole        bool          `json:"whole"`
	Asks         []Asked       `json:"asks,omitempty"`
	Alternatives []Alternative `json:"alternatives,omitempty"`
}

// Asked is what to ask one seeker.
type Asked struct {
	To  string   `json:"to"`
	Ask []string `json:"ask"`
}

// Lines is a plan line by line.
func Lines(p *Plan) ([]Line, error) {
	var all []Line
	total := &Totals{Lots: p.Lots, Lists: p.Lists, Placed: p.Placed(), Points: p.Points, Bound: p.Bound, Greedy: p.Greedy,
		Proven: p.Proven(), Whole: p.Whole, Alternatives: p.Alternatives}
	for _, h := range p.Homes {
		if len(h.Ask) > 0 {
			total.Asks = append(total.Asks, Asked{h.List.GetTitle(), h.Ask})
		}
		for _, g := range h.Given {
			lot, err := compact(g.Lot)
			if err != nil {
				return nil, err
			}
			line := Line{Lot: lot, To: h.List.GetTitle(), List: h.List.GetName(), Want: g.Want.GetId(), Why: g.Why}
			if g.Fit != nil {
				if line.Fit, err = compact(g.Fit); err != nil {
					return nil, err
				}
			}
			all = append(all, line)
		}
	}
	for _, l := range p.Left {
		lot, err := compact(l.Lot)
		if err != nil {
			return nil, err
		}
		all = append(all, Line{Lot: lot, Left: true, Why: l.Why, Do: l.Do})
	}
	return append(all, Line{Plan: total}), nil
}

// compact is a message of the contract in its JSON mapping. The library varies
// its spacing on purpose; here the same message is always the same.
func compact(m proto.Message) (json.RawMessage, error) {
	raw, err := protojson.Marshal(m)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err = json.Compact(&b, raw)
	return b.Bytes(), err
}
