package rehome

import (
	"fmt"
	"slices"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// Left is a lot that finds no home, and what to do.
type Left struct {
	Lot *pb.Lot
	// Why are the reasons, one for each list that asks for it, or that none does.
	Why []string
	// Do is what to do now.
	Do string
}

func (d *draft) left(p *Plan) []Left {
	placed := map[int]bool{}
	homes := map[*pb.WantedList]*Home{}
	for i, h := range p.Homes {
		homes[h.List] = &p.Homes[i]
		for _, g := range h.Given {
			placed[d.lot[keyOf(g.Lot)]] = true
		}
	}
	var all []Left
	for i, l := range d.in.Lots {
		if !placed[i] {
			why, also := d.whyLeft(i, homes)
			all = append(all, Left{Lot: l, Why: why, Do: doWith(l, why, also)})
		}
	}
	return all
}

// whyLeft is why a lot finds no home, and who has been given another such and
// may have this one as well.
func (d *draft) whyLeft(l int, homes map[*pb.WantedList]*Home) (why, also []string) {
	for s, seeker := range d.seekers {
		title := seeker.list.GetTitle()
		switch c, bar := d.best[[2]int{l, s}], d.bars[[2]int{l, s}]; {
		case c != nil:
			text, other := d.gaveWay(l, c, homes[seeker.list])
			why = append(why, title+" "+text)
			if other {
				also = append(also, title)
			}
		case bar != "":
			why = append(why, title+" asks for it, but "+bar)
		}
	}
	return why, also
}

// gaveWay is why a seeker that could have a lot is given another, or none; other
// is true where it is another that meets the same want.
func (d *draft) gaveWay(l int, c *Candidate, h *Home) (text string, other bool) {
	if d.in.Wishes.Whole == WholeOnly {
		return "asks for it, but you wish to place the shop as a whole", false
	}
	if h != nil {
		for _, g := range h.Given {
			if g.Want.GetId() == c.Want.GetId() {
				return fmt.Sprintf("asks for one such, and gets %s", g.Lot.GetTag()), true
			}
		}
	}
	for _, g := range d.groups {
		if g.must && slices.Contains(g.lots, l) {
			return "asks for it, but can have it only together with " + g.words, false
		}
	}
	return "asks for it, and cannot fetch or pay for it with the rest", false
}

// doWith is what to do with a lot that nobody here takes. Common practice.
func doWith(l *pb.Lot, why, also []string) string {
	switch {
	case len(also) > 0:
		return "Ask " + strings.Join(also, ", then ") + " whether they will have this one as well."
	case len(why) > 0:
		return "Ask those who ask for it whether they can do more, as fetch it in another trip, or pay in parts."
	}
	switch l.GetKind() {
	case pb.Kind_KIND_METAL_TYPE, pb.Kind_KIND_SPACING:
		return "Keep it from the melt until the last day: offer it by the case to printers nearby, then to a caster who uses the metal for new type."
	case pb.Kind_KIND_WOOD_TYPE, pb.Kind_KIND_CUTS, pb.Kind_KIND_ORNAMENTS:
		return "It is light and travels by post: offer it farther away, with a print of it."
	case pb.Kind_KIND_PRESS, pb.Kind_KIND_CUTTERS, pb.Kind_KIND_CASTERS:
		return "Offer it farther away, and for parts to those who restore the like; give it time before any scrap dealer."
	case pb.Kind_KIND_OTHER:
		return "Papers, books and photographs go to a library or museum first; ask the nearest."
	}
	return "Offer it to whoever takes things that go with it, and let the price come down before the day."
}
