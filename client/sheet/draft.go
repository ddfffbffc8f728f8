package sheet

import (
	"fmt"
	"slices"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// draft is a row that has been read and not yet been found right or wrong.
type draft struct {
	number int
	inYAML bool
	lot    *pb.Lot
	// values are by column; nil for a row that could not be taken apart.
	values   map[string]value
	problems Problems
	notes    []string
	cells    []string
	tagMade  bool
	// again is how many rows before this one say the same.
	again int
}

// unread tells whether the row could not even be taken apart.
func (d *draft) unread() bool { return d.values == nil }

// wrong adds a problem with a column.
func (d *draft) wrong(column, message string) {
	v := d.values[column]
	p := Problem{Number: d.number, Line: d.inYAML, Column: column, Value: v.text, Message: message}
	if v.node != nil {
		p.Number = v.node.Line
	}
	d.problems = append(d.problems, p)
}

// finish adds what follows from the columns: the kind, then the detail that only
// a lot of that kind has, and what its size means for such a thing.
func (d *draft) finish() {
	if d.values["title"].blank() {
		d.wrong("title", "is missing: every lot needs a line that says what it is")
	}
	if proto.Size(d.lot.GetParts()) == 0 {
		d.lot.Parts = nil
	}
	if d.values["kind"].blank() && d.values["class"].blank() {
		d.guessKind()
	}
	if d.lot.GetKind() == 0 {
		return
	}
	d.readDetail()
	if err := trade.FillDetail(d.lot); err != nil {
		d.wrong("size", err.Error())
	}
}

// readDetail reads the keys that only some kinds of lot have.
func (d *draft) readDetail() {
	own := details[d.lot.GetKind()]
	d.problems = append(d.problems, apply(d.lot, d.values, own)...)
	for _, key := range detailKeys {
		if _, given := d.values[key]; given && !slices.Contains(keysOf(own), key) {
			d.wrong(key, notOfKind(key, d.lot.GetKind()))
		}
	}
}

// guessKind takes the kind from the title, or else takes it as other.
func (d *draft) guessKind() {
	kind, class := kindOfTitle(d.lot.GetTitle())
	if kind == 0 {
		kind = pb.Kind_KIND_OTHER
	}
	d.lot.Kind, d.lot.Class = kind, class
	d.notes = append(d.notes, fmt.Sprintf("no kind is given: taken as %s", writeKind(d.lot)))
}

// settle sorts drafts into lots and bad rows, after seeing to their tags.
func (s *Sheet) settle(drafts []*draft) {
	giveTags(drafts)
	for _, d := range drafts {
		if len(d.problems) == 0 {
			s.Lots = append(s.Lots, Row{Number: d.number, Lot: d.lot, TagMade: d.tagMade, Notes: d.notes, cells: d.cells, line: d.inYAML})
			continue
		}
		bad := BadRow{Number: d.number, Problems: d.problems, Cells: d.cells}
		if d.tagMade && d.again > 0 {
			bad.tag = d.lot.GetTag()
		}
		s.Bad = append(s.Bad, bad)
	}
}
