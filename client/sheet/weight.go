package sheet

import (
	"errors"

	"go.yaml.in/yaml/v3"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// weightKeys are a weight in full, for what a text cannot say: an estimate, its
// basis, or a figure with its range.
var weightKeys = []field[*pb.Weight]{
	massField("mass", func(w *pb.Weight) **float64 { return &w.MassKg }),
	massField("low", func(w *pb.Weight) **float64 { return &w.LowKg }),
	massField("high", func(w *pb.Weight) **float64 { return &w.HighKg }),
	wordField("grounds", []named[pb.Grounds]{
		{pb.Grounds_GROUNDS_MEASURED, "measured"},
		{pb.Grounds_GROUNDS_STATED, "stated"},
		{pb.Grounds_GROUNDS_ESTIMATED, "estimated"},
	}, func(w *pb.Weight) *pb.Grounds { return &w.Grounds }),
	oneLine("basis", 1000, func(w *pb.Weight) *string { return &w.Basis }),
}

// weightField is the column "weight": a text, or in YAML also keys.
func weightField() field[*pb.Lot] {
	return field[*pb.Lot]{
		key: "weight",
		read: func(l *pb.Lot, v value) (err error) {
			if v.scalar() {
				l.Weight, err = trade.ParseWeight(v.text)
			} else {
				l.Weight, err = readWeightKeys(v.node)
			}
			return err
		},
		write: func(l *pb.Lot) *yaml.Node {
			if l.GetWeight() == nil {
				return nil
			}
			if text, all := weightText(l.GetWeight()); all {
				return bareNode(text)
			}
			return writeFields(l.GetWeight(), weightKeys)
		},
	}
}

func readWeightKeys(node *yaml.Node) (*pb.Weight, error) {
	w := &pb.Weight{Grounds: pb.Grounds_GROUNDS_STATED}
	if err := readFields(w, node, weightKeys).or(); err != nil {
		return nil, err
	}
	switch {
	case (w.LowKg == nil) != (w.HighKg == nil):
		return nil, errors.New("a range needs both low and high")
	case w.MassKg == nil && w.LowKg == nil:
		return nil, errors.New("give its mass, or low and high")
	case w.GetLowKg() > w.GetHighKg():
		return nil, errors.New("low is more than high")
	case w.MassKg != nil && w.LowKg != nil && (w.GetMassKg() < w.GetLowKg() || w.GetMassKg() > w.GetHighKg()):
		return nil, errors.New("mass is not between low and high")
	}
	return w, nil
}

// weightText writes a weight as a text. all tells whether the text says
// everything: if not, it is the nearest that a text can say. An estimate has no
// text, since it would be read back as the keeper's word.
func weightText(w *pb.Weight) (text string, all bool) {
	switch {
	case w == nil, w.GetGrounds() == pb.Grounds_GROUNDS_ESTIMATED:
		return "", false
	case w.MassKg != nil:
		text = told(w.GetMassKg(), massUnits, readMass)
	default:
		text = rangeText(w)
	}
	if w.GetGrounds() == pb.Grounds_GROUNDS_MEASURED {
		text = "weighed " + text
	}
	back, err := trade.ParseWeight(text)
	return text, err == nil && proto.Equal(back, w)
}

// rangeText writes a range in pounds, or in kilograms if that says it better.
func rangeText(w *pb.Weight) string {
	var text string
	for _, u := range massUnits {
		text = side(w.GetLowKg(), u) + "-" + side(w.GetHighKg(), u) + u.word
		back, err := trade.ParseWeight(text)
		if err == nil && back.GetLowKg() == w.GetLowKg() && back.GetHighKg() == w.GetHighKg() {
			break
		}
	}
	return text
}
