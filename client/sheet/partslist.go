package sheet

import (
	"go.yaml.in/yaml/v3"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// partsField makes a field of the parts a field of the lot.
func partsField(f field[*pb.Parts]) field[*pb.Lot] {
	return inside((*pb.Lot).GetParts, func(l *pb.Lot, p *pb.Parts) { l.Parts = p }, f)
}

// missingField is the column "missing": a text as people write it, "none", or a
// list of which each item is one part.
func missingField() field[*pb.Lot] {
	return field[*pb.Lot]{
		key: "missing",
		read: func(l *pb.Lot, v value) error {
			if v.scalar() {
				l.Parts = trade.ParseParts(v.text)
				return nil
			}
			missing, err := v.list()
			l.Parts = &pb.Parts{Missing: missing}
			return err
		},
		write: func(l *pb.Lot) *yaml.Node {
			switch missing := l.GetParts().GetMissing(); {
			case len(missing) > 0:
				return listNode(missing)
			case l.GetParts().GetRestComplete():
				return textNode("none")
			}
			return nil
		},
	}
}

// restField says that whatever is not missing is there. Where nothing is
// missing, "missing: none" says so already.
func restField() field[*pb.Lot] {
	f := partsField(yesField("rest_complete", func(p *pb.Parts) *bool { return &p.RestComplete }))
	write := f.write
	f.write = func(l *pb.Lot) *yaml.Node {
		if len(l.GetParts().GetMissing()) == 0 {
			return nil
		}
		return write(l)
	}
	return f
}
