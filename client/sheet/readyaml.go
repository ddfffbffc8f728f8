package sheet

import (
	"errors"
	"fmt"
	"slices"

	"go.yaml.in/yaml/v3"

	pb "heirpress/proto/heirpress/v1"
)

// shopFields are the keys of a shop.
var shopFields = []field[*pb.Shop]{
	oneLine("title", 200, func(s *pb.Shop) *string { return &s.Title }),
	oneLine("place", 200, func(s *pb.Shop) *string { return &s.Place }),
	dateField("clear_by", func(s *pb.Shop) **pb.Date { return &s.ClearBy }),
	oneLine("collection_name", 200, func(s *pb.Shop) *string { return &s.CollectionName }),
	lines("story", 20_000, func(s *pb.Shop) *string { return &s.Story }),
	lines("access", 5_000, func(s *pb.Shop) *string { return &s.Access }),
}

// readYAML reads a shop and its lots.
func (s *Sheet) readYAML(body string, o options) error {
	top, err := parseYAML(body)
	if err != nil {
		return err
	}
	s.comma, s.header = ',', keysOf(columnFields(o.currency))
	return readFields(s, top, []field[*Sheet]{
		nested("shop", func(s *Sheet) **pb.Shop { return &s.Shop }, shopFields),
		{key: "lots", read: func(s *Sheet, v value) error { return s.readLots(v.node, o) }},
	}).or()
}

func (s *Sheet) readLots(node *yaml.Node, o options) error {
	if node.Kind != yaml.SequenceNode {
		return errors.New(`write the lots as a list, each beginning with "- title: …"`)
	}
	if n := len(node.Content); n > MaxRows {
		return fmt.Errorf("there are %d lots: at most %d will do, so split the file into several", n, MaxRows)
	}
	fields := lotFields(o.currency)
	var drafts []*draft
	for _, n := range node.Content {
		drafts = append(drafts, s.lotDraft(n, fields))
	}
	s.settle(drafts)
	return nil
}

// lotDraft reads one item of the lots.
func (s *Sheet) lotDraft(node *yaml.Node, fields []field[*pb.Lot]) *draft {
	d := &draft{number: node.Line, inYAML: true, lot: &pb.Lot{}, cells: s.cellsOf(node)}
	d.values, d.problems = mapping(node, append(keysOf(fields), detailKeys...))
	if d.unread() {
		return d
	}
	d.problems = append(d.problems, apply(d.lot, d.values, fields)...)
	d.finish()
	return d
}

// cellsOf lays a lot out as a row. A key that is no column gets one, so that
// nothing that was written is lost.
func (s *Sheet) cellsOf(node *yaml.Node) []string {
	cells := make([]string, len(s.header))
	if node.Kind != yaml.MappingNode {
		return append(cells, nodeText(node))
	}
	for i := 0; i < len(node.Content); i += 2 {
		key, text := nodeText(node.Content[i]), nodeText(node.Content[i+1])
		at := slices.IndexFunc(s.header, func(h string) bool { return fold(h) == fold(key) })
		if at < 0 {
			at = len(s.header)
			s.header = append(s.header, key)
		}
		for len(cells) <= at {
			cells = append(cells, "")
		}
		cells[at] = text
	}
	return cells
}
