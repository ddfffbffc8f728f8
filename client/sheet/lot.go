package sheet

import (
	"cmp"
	"fmt"
	"strings"

	"go.yaml.in/yaml/v3"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// columnFields are the columns of a table, in the order they are written.
func columnFields(currency string) []field[*pb.Lot] {
	return []field[*pb.Lot]{
		oneLine("tag", 40, func(l *pb.Lot) *string { return &l.Tag }),
		scalar("kind", readKind, writeKind),
		scalar("class", readClass, func(*pb.Lot) string { return "" }),
		oneLine("title", 200, func(l *pb.Lot) *string { return &l.Title }),
		lines("description", 10_000, func(l *pb.Lot) *string { return &l.Description }),
		oneLine("make", 200, func(l *pb.Lot) *string { return &l.Make }),
		oneLine("model", 200, func(l *pb.Lot) *string { return &l.Model }),
		oneLine("serial", 200, func(l *pb.Lot) *string { return &l.Serial }),
		oneLine("size", 200, func(l *pb.Lot) *string { return &l.SizeAsWritten }),
		countField("count", 1, 1_000_000, func(l *pb.Lot) **int32 { return &l.Count }),
		weightField(),
		outside("width", func(s *pb.Size) **float64 { return &s.WidthMm }),
		outside("depth", func(s *pb.Size) **float64 { return &s.DepthMm }),
		outside("height", func(s *pb.Size) **float64 { return &s.HeightMm }),
		scalar("condition", readCondition, func(l *pb.Lot) string { return trade.ConditionWord(l.GetCondition()) }),
		missingField(),
		moneyField("price", currency, func(l *pb.Lot) **pb.Money { return &l.Price }),
	}
}

// lotFields are the keys that any lot may have in YAML.
func lotFields(currency string) []field[*pb.Lot] {
	return append(columnFields(currency),
		conditionNoteField(),
		restField(),
		partsField(partsListField("on_hand", func(p *pb.Parts) *[]string { return &p.OnHand })),
		clearByField(),
		scalar("state", readState, func(l *pb.Lot) string { return trade.StateWord(l.GetState()) }),
		moneyField("price_paid", currency, func(l *pb.Lot) **pb.Money { return &l.PricePaid }),
	)
}

func conditionNoteField() field[*pb.Lot] {
	f := lines("condition_note", 2000, func(l *pb.Lot) *string { return &l.ConditionNote })
	f.read = func(l *pb.Lot, v value) error {
		note, err := v.one()
		if l.ConditionNote != "" {
			note = l.ConditionNote + "\n" + note
		}
		l.ConditionNote = note
		return cmp.Or(err, within(note, 2000))
	}
	return f
}

// clearByField is the lot's own day; the shop's is not written as if it were.
func clearByField() field[*pb.Lot] {
	f := dateField("clear_by", func(l *pb.Lot) **pb.Date { return &l.ClearBy })
	write := f.write
	f.write = func(l *pb.Lot) *yaml.Node {
		if l.GetClearByFromShop() {
			return nil
		}
		return write(l)
	}
	return f
}

func outside(key string, at func(*pb.Size) **float64) field[*pb.Lot] {
	set := func(l *pb.Lot, s *pb.Size) { l.Size = s }
	return inside((*pb.Lot).GetSize, set, lengthField(key, at))
}

// readKind takes a word for a kind, or for a class, which gives both.
func readKind(l *pb.Lot, s string) (err error) {
	l.Kind, l.Class, err = kindOrClass(s)
	return err
}

// kindOrClass reads the word for a kind or for a class. A word that is both,
// such as "case", is the class, unless it is the kind's own word.
func kindOrClass(s string) (pb.Kind, pb.Class, error) {
	kind, err := trade.ParseKind(s)
	if err == nil && strings.TrimSuffix(fold(s), "s") == strings.TrimSuffix(fold(trade.KindWord(kind)), "s") {
		return kind, 0, nil
	}
	if class, classErr := trade.ParseClass(s); classErr == nil {
		return trade.KindOf(class), class, nil
	}
	if near := nearest(s, kindAndClassWords()); err != nil && near != "" {
		err = fmt.Errorf("%q is not a kind: did you mean %s?", s, near)
	}
	return kind, 0, err
}

func kindAndClassWords() []string {
	var all []string
	for _, c := range trade.Classes() {
		all = append(all, trade.ClassWord(c))
	}
	for _, k := range trade.Kinds() {
		all = append(all, trade.KindWord(k))
	}
	return all
}

func writeKind(l *pb.Lot) string {
	if word := trade.ClassWord(l.GetClass()); word != "" {
		return word
	}
	return trade.KindWord(l.GetKind())
}

func readClass(l *pb.Lot, s string) error {
	class, err := trade.ParseClass(s)
	if err != nil {
		return err
	}
	kind := trade.KindOf(class)
	if l.Kind != 0 && l.Kind != kind {
		return fmt.Errorf("%q is a class of %s, and the kind is %s: change one of them", s, trade.KindWord(kind), trade.KindWord(l.Kind))
	}
	if l.Class != 0 && l.Class != class {
		return fmt.Errorf("%q does not go with the kind, which says %s: change one of them", s, trade.ClassWord(l.Class))
	}
	l.Kind, l.Class = kind, class
	return nil
}

// readCondition keeps what it cannot read as the note.
func readCondition(l *pb.Lot, s string) error {
	l.Condition, l.ConditionNote = trade.ParseCondition(s)
	return within(l.ConditionNote, 2000)
}

func readState(l *pb.Lot, s string) (err error) {
	l.State, err = trade.ParseState(s)
	return err
}
