package sheet

import (
	"fmt"
	"io"
	"slices"

	"go.yaml.in/yaml/v3"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// Write writes lots, and in YAML the shop, as a sheet that Read reads back as
// equal lots. shop may be nil. What the registry gives a lot itself (its name,
// town, history, times, etag, and the shop's day where the lot has none of its
// own) is left out.
//
// A table holds what its columns can say. It has no place for the typed detail
// beyond the size, parts on hand, the basis of a weight, a weight that was only
// estimated, a lot's own day, state and price paid; a note on the condition
// follows the word for it; a part that is missing should have no comma and no
// "and" in its name. YAML holds it all.
func Write(w io.Writer, format Format, shop *pb.Shop, lots []*pb.Lot) error {
	switch format {
	case CSV:
		return writeTable(w, ',', tableRows(lots))
	case XLSX:
		return writeWorkbook(w, tableRows(lots), nil)
	case YAML:
		return writeYAML(w, shop, lots)
	}
	return fmt.Errorf("%q cannot be written: a sheet is csv, xlsx or yaml", format)
}

// tableRows are the heading of a table, and a row for every lot.
func tableRows(lots []*pb.Lot) [][]string {
	fields := cellFields()
	rows := [][]string{keysOf(fields)}
	for _, l := range lots {
		row := make([]string, len(fields))
		for i, f := range fields {
			if n := f.write(l); n != nil {
				row[i] = nodeText(n)
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// cellFields are the columns that are written, with the two that say less in a
// cell than in YAML.
func cellFields() []field[*pb.Lot] {
	var fields []field[*pb.Lot]
	for _, f := range columnFields("USD") {
		switch f.key {
		case "class":
			continue
		case "condition":
			f.write = func(l *pb.Lot) *yaml.Node { return bareNode(conditionText(l)) }
		case "weight":
			f.write = func(l *pb.Lot) *yaml.Node {
				text, _ := weightText(l.GetWeight())
				return bareNode(text)
			}
		}
		fields = append(fields, f)
	}
	return fields
}

// conditionText is the word for a condition with its note, or a note that says
// the same by itself.
func conditionText(l *pb.Lot) string {
	word, note := trade.ConditionWord(l.GetCondition()), l.GetConditionNote()
	if c, same := trade.ParseCondition(note); note == "" || c != l.GetCondition() || same != note {
		note = ""
	}
	switch {
	case note != "" || word == "":
		return l.GetConditionNote()
	case l.GetConditionNote() == "":
		return word
	}
	return word + ": " + l.GetConditionNote()
}

func writeYAML(w io.Writer, shop *pb.Shop, lots []*pb.Lot) error {
	top := &yaml.Node{Kind: yaml.MappingNode}
	if shop != nil {
		if n := writeFields(shop, shopFields); n != nil {
			top.Content = append(top.Content, textNode("shop"), n)
		}
	}
	list := &yaml.Node{Kind: yaml.SequenceNode}
	common := lotFields("USD")
	for _, l := range lots {
		if n := writeFields(l, slices.Concat(common, details[l.GetKind()])); n != nil {
			list.Content = append(list.Content, n)
		}
	}
	top.Content = append(top.Content, textNode("lots"), list)
	return encode(w, top)
}
