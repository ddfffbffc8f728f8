package rigging

import (
	"fmt"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// questions are what to ask first: of the load, then of each end, then of the
// vehicle and the crew. What has been said is not asked.
func (m *move) questions(b *Brief) []Question {
	var all []Question
	add := func(tags []string, text string) { all = append(all, Question{text, tags}) }
	if len(b.Load.Unweighed) > 0 {
		add(b.Load.Unweighed, "What does it weigh? A name plate, a bill of lading or a mover's note may say.")
	}
	for _, i := range m.items {
		if i.Doubt != "" {
			add([]string{i.Tag}, doubtQuestion(i))
		}
	}
	if tags := m.sizesUnsaid(); len(tags) > 0 {
		add(tags, "How wide, deep and high is it, each at its widest? The figure here is its class's, or a pallet's room.")
	}
	if tags := m.lotTags(supplyUnsaid); len(tags) > 0 {
		add(tags, "What is it wired for, and who disconnects it?")
	}
	if len(m.units) > 0 {
		all = append(all, m.wayQuestions()...)
	}
	if len(m.items) > 0 {
		all = append(all, m.vehicleQuestions()...)
	}
	return all
}

// doubtQuestion asks about a weight that is far from what is expected.
func doubtQuestion(i Item) string {
	text := "Is the weight right? " + capital(strings.TrimSuffix(i.Doubt, "?")) + "?"
	if i.Class == trade.ClassWord(pb.Class_CLASS_TYPE_CABINET) {
		text += " Or is it the weight without the type?"
	}
	return text
}

// sizesUnsaid are the machines whose outside the keeper has not given.
func (m *move) sizesUnsaid() []string {
	return m.tagsOf(func(u unit) bool { return u.outside == nil || !u.outside.Stated })
}

// supplyUnsaid tells whether a machine may be wired without anybody saying how.
func supplyUnsaid(lot *pb.Lot) bool {
	return wired(lot) && supplyOf(lot) == pb.Supply_SUPPLY_UNSPECIFIED
}

// wayQuestions ask about both ends; together where the same is not known of them.
func (m *move) wayQuestions() []Question {
	from, to := sentence(m.unsaidOf(m.site.From)), sentence(m.unsaidOf(m.site.To))
	if from == to {
		return wayQuestion(shopEnd+" and "+homeEnd, from)
	}
	return append(wayQuestion(shopEnd, from), wayQuestion(homeEnd, to)...)
}

func wayQuestion(name, missing string) []Question {
	if missing == "" {
		return nil
	}
	return []Question{{Text: fmt.Sprintf("What is the way like %s: %s?", name, missing)}}
}

// unsaidOf names what nobody has said of an end. The floor matters under what is
// too heavy to be lifted.
func (m *move) unsaidOf(e End) []string {
	var missing []string
	if len(e.Doors) == 0 {
		missing = append(missing, "the clear width and height of every door on the way")
	}
	if _, known := e.steps(); !known {
		missing = append(missing, "steps up or down")
	}
	if len(e.Turns) == 0 {
		missing = append(missing, "turns and landings")
	}
	heavy := m.floor(e).Tag != ""
	if heavy && e.Ground == UnknownFloor {
		missing = append(missing, "what the floor is made of")
	}
	if heavy && e.Level == UnknownLevel {
		missing = append(missing, "whether it is on the ground, above it or below")
	}
	return missing
}

func (m *move) vehicleQuestions() []Question {
	var all []Question
	add := func(text string) { all = append(all, Question{Text: text}) }
	v := m.site.Vehicle
	switch {
	case v == nil:
		add("What drives it: payload by the sticker, deck length and width, wheelbase, anchors and tiedowns?")
	default:
		if v.PayloadKg == nil {
			add("What is the payload, by the sticker on the door?")
		}
		if !v.deckKnown() {
			add("How long and wide is the deck, inside?")
		}
		if !v.axlesKnown() {
			add("Where are the axles: the wheelbase, and from the front of the deck to the rear axle?")
		}
		if v.Tiedowns == nil {
			add("What tiedowns are there, and what do their tags say?")
		}
	}
	if m.site.Kit == nil || m.site.Kit.People == nil {
		add("How many able people come, and what dolly, jack, hoist or forklift is there, rated for what?")
	}
	if m.site.Experienced == nil {
		add("Is somebody there who has moved such machines before?")
	}
	return all
}
