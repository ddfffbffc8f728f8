package sheet

import (
	"errors"
	"slices"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// SetLot returns what a sheet can say of a lot, with one key or column set to a
// value as people write it; an empty value takes back what was said. A new size
// takes with it what followed from the old one, a new kind what only a lot of
// the old kind has, and a condition with a note the note before. The error says
// what would be right.
func SetLot(lot *pb.Lot, key, text string, opts ...Option) (*pb.Lot, error) {
	o, err := gather(opts)
	if err != nil {
		return nil, err
	}
	fields := lotFields(o.currency)
	keys := slices.Concat(keysOf(fields), detailKeys)
	at := slices.IndexFunc(keys, func(k string) bool { return fold(k) == fold(key) })
	if at < 0 {
		return nil, errors.New(unknownKey(key, keys))
	}
	d := &draft{lot: &pb.Lot{}, values: map[string]value{}}
	for _, f := range slices.Concat(fields, details[lot.GetKind()]) {
		if n := f.write(lot); n != nil {
			d.values[f.key] = nodeValue(n)
		}
	}
	d.set(lot, keys[at], text)
	d.problems = apply(d.lot, d.values, fields)
	d.finish()
	return d.lot, d.problems.about(keys[at])
}

// set puts one value in, and drops what hangs on the value before.
func (d *draft) set(lot *pb.Lot, key, text string) {
	v := cellValue(text)
	switch key {
	case "size":
		d.drop(detailOfSize(lot))
	case "kind", "class":
		d.setKind(lot, key, v)
	case "condition":
		if _, note := trade.ParseCondition(text); note != "" {
			d.drop([]string{"condition_note"})
		}
	}
	d.values[key] = v
}

// setKind makes room for a new kind or class. Detail of the old kind stays if
// the kind does; what followed from the size may follow otherwise now.
func (d *draft) setKind(lot *pb.Lot, key string, v value) {
	kind, _, err := kindOrClass(v.text)
	if key == "class" && v.blank() {
		kind, err = lot.GetKind(), nil
	}
	if err == nil && kind == lot.GetKind() {
		d.drop(detailOfSize(lot))
	} else {
		d.drop(keysOf(details[lot.GetKind()]))
	}
	if d.values["kind"] = (value{}); err == nil && key == "class" {
		d.values["kind"] = cellValue(trade.KindWord(kind))
	}
}

func (d *draft) drop(keys []string) {
	for _, k := range keys {
		delete(d.values, k)
	}
}

// detailOfSize names the keys of a lot's detail that say what its size says.
func detailOfSize(lot *pb.Lot) []string {
	plain := &pb.Lot{Kind: lot.GetKind(), Class: lot.GetClass(), SizeAsWritten: lot.GetSizeAsWritten(), Count: lot.Count}
	if trade.FillDetail(plain) != nil {
		return nil
	}
	var keys []string
	for _, f := range details[lot.GetKind()] {
		if had, follows := f.write(lot), f.write(plain); had != nil && follows != nil && nodeText(had) == nodeText(follows) {
			keys = append(keys, f.key)
		}
	}
	return keys
}

// about is the first of the problems as an error, or nil. Where it is about the
// key that was set, it need not say so.
func (ps Problems) about(key string) error {
	switch {
	case len(ps) == 0:
		return nil
	case ps[0].Column == key:
		return errors.New(ps[0].Message)
	}
	return ps[:1]
}

// SetShop returns what a sheet can say of a shop, with one key set to a value as
// people write it; an empty value takes back what was said. The error says what
// would be right.
func SetShop(shop *pb.Shop, key, text string) (*pb.Shop, error) {
	at := slices.IndexFunc(shopFields, func(f field[*pb.Shop]) bool { return fold(f.key) == fold(key) })
	if at < 0 {
		return nil, errors.New(unknownKey(key, keysOf(shopFields)))
	}
	values := map[string]value{}
	for _, f := range shopFields {
		if n := f.write(shop); n != nil {
			values[f.key] = nodeValue(n)
		}
	}
	set := shopFields[at].key
	values[set] = cellValue(text)
	out := &pb.Shop{}
	return out, apply(out, values, shopFields).about(set)
}

// Refuse moves a row from the lots to the bad rows: a registry would not have
// it, for reasons that only a registry knows.
func (s *Sheet) Refuse(row Row, problems []Problem) {
	s.Lots = slices.DeleteFunc(s.Lots, func(r Row) bool { return proto.Equal(r.Lot, row.Lot) && r.Number == row.Number })
	bad := BadRow{Number: row.Number, Cells: row.cells}
	for _, p := range problems {
		p.Number, p.Line = row.Number, row.line
		bad.Problems = append(bad.Problems, p)
	}
	if row.TagMade {
		bad.tag = row.Lot.GetTag()
	}
	at, _ := slices.BinarySearchFunc(s.Bad, bad, func(a, b BadRow) int { return a.Number - b.Number })
	s.Bad = slices.Insert(s.Bad, at, bad)
}
