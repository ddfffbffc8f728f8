package form

import pb "heirpress/proto/heirpress/v1"

// Where the things are found and what they look like is common practice of the
// trade, no source.

func title(ask, example string) Question {
	return Question{Key: "title", Ask: ask, Help: "One line that says what it is. Use the words on the thing or on its label; if there are none, say what it looks like.", Example: example, Short: "What it is"}
}

var (
	condition = Question{Key: "condition", Ask: "How is it?", Help: "working, needs care, needs repair, or for parts; then anything worth saying. Do not try to run it. If you cannot tell, say what you see.", Example: "needs care, rust on the wheel", Short: "How it is"}
	price     = Question{Key: "price", Ask: "What do you ask for it?", Help: "A price, or free. Leave it out if you do not know yet.", Example: "$250", Short: "Price"}
	weight    = Question{Key: "weight", Ask: "What does it weigh?", Help: "Only if it says so on a plate or in a book, or somebody has weighed it: then write weighed before it. heirpress estimates it otherwise.", Example: "1,500 lb", Short: "Weight"}
	count     = Question{Key: "count", Ask: "How many are there?", Help: "A whole number, where several of one thing go together.", Example: "3", Short: "How many"}
	maker     = Question{Key: "make", Ask: "Who made it?", Help: "The name cast into the iron or on a brass plate. Do not clean or scrape to find it: dust in a print shop has lead in it.", Example: "Halvorsen", Short: "Maker"}
	model     = Question{Key: "model", Ask: "Does it say a model?", Help: "A name, number or style beside the maker's name.", Example: "KR15", Short: "Model"}
	serial    = Question{Key: "serial", Ask: "Is a number stamped into it?", Help: "Often on the edge of the flat iron part that holds the type, or on the maker's plate. Take a photo of it.", Example: "41877", Short: "Number"}
	missing   = Question{Key: "missing", Ask: "Is anything missing or broken off?", Help: "Rollers, frames, wheels, handles, guards. Look in boxes and drawers nearby first. Write none only if somebody who knows such a thing has checked.", Example: "rollers, one chase", Short: "Missing"}
	more      = Question{Key: "description", Ask: "Anything else a person should know?", Help: "Where it stands, what goes with it, where it came from.", Example: "Back room, by the window. The box of rollers belongs to it.", Short: "More"}
	width     = Question{Key: "width", Ask: "How wide is it on the outside?", Help: "From left to right, standing where a person works it, with wheels and handles.", Example: "46 in", Short: "Width"}
	depth     = Question{Key: "depth", Ask: "How deep is it, front to back?", Help: "At the widest, with everything that sticks out.", Example: "50 in", Short: "Depth"}
	height    = Question{Key: "height", Ask: "How high is it from the floor?", Help: "To its highest part.", Example: "54 in", Short: "Height"}
	supply    = Question{Key: "supply", Ask: "What is it wired for?", Help: "none, single phase (a plug as in the house), three phase (a large plug, or wired into the wall) or direct current. It stands on the motor's plate. Do not open anything: a licensed electrician disconnects it.", Example: "single phase", Short: "Power"}
	material  = Question{Key: "material", Ask: "What is it made of?", Help: "Steel, iron, marble, granite, oak, maple, brass, if you can tell.", Example: "marble", Short: "Made of"}
	pieces    = Question{Key: "pieces", Ask: "How many pieces are there?", Help: "Count them if they are few; do not tip them out. Leave it out if there are too many.", Example: "62", Short: "Pieces"}
)

// example gives a question another example.
func (q Question) example(text string) Question {
	q.Example = text
	return q
}

// shown gives a question a drawing.
func (q Question) shown(id string) Question {
	q.Drawing = id
	return q
}

func size(ask, help, example, drawing string) Question {
	return Question{Key: "size", Ask: ask, Help: help, Example: example, Short: "Size", Drawing: drawing}
}

var forms = []Form{
	{
		Kind: pb.Kind_KIND_PRESS, Heading: "Presses",
		About: "A press pushes paper against inked type. It is mostly the heaviest thing in the room. Each press is one lot, with its rollers and frames.",
		Questions: []Question{
			title("What does it say on the press, and what is it like?", "Halvorsen platen jobber, 10x15"),
			{Key: "class", Ask: "Which of these is it most like?", Help: "tabletop platen: stands on a table and is worked by a lever. platen jobber: stands on the floor, with a large wheel at its side, and two plates that open and shut like a clam. " +
				"hand press: a tall iron frame with a bar to pull. cylinder proof press: a long flat bed, over which a drum with grippers is rolled. galley proof press: the same with a plain roller. " +
				"cylinder press: large, with a motor and a turning drum. nipping press: a screw presses two plates together, for books.", Example: "platen jobber", Short: "Sort", Drawing: "jobber"},
			maker, model, serial,
			size("How large is the space for the type?", "Of a press with two plates: the inside of its iron frame, the chase, from edge to edge. Of one with a long bed: the bed, as bed 20x26. Of a hand press: its flat plate, as platen 24x36. Width first, in inches.", "10x15", "chase"),
			{Key: "sheet", Ask: "Do you know the largest paper it takes?", Help: "Mostly from a book or a plate; leave it out otherwise.", Example: "12x18 in", Short: "Paper", Drawing: "proofpress"},
			{Key: "drive", Ask: "What turns it?", Help: "hand, treadle (a pedal), motor, or line shaft (a belt from above).", Example: "treadle", Short: "Drive"},
			supply, missing, condition, weight, width, depth, height, price, more,
		},
	},
	{
		Kind: pb.Kind_KIND_CUTTERS, Heading: "Paper cutters and other cutters",
		About: "A paper cutter has a long blade that comes down on a table; smaller ones cut strips of metal. Keep hands and children away from the blade: it is sharp even where it looks dull.",
		Questions: []Question{
			title("What does it say on it, and what does it cut?", "Bench lever cutter"),
			{Key: "class", Ask: "Which of these is it?", Help: "bench cutter: stands on a table. floor cutter: stands on the floor and is worked by a lever. power cutter: has a motor. Leave it out if it cuts metal.", Example: "bench cutter", Short: "Sort"},
			maker, model, serial,
			size("How wide a sheet does it cut?", "Along the table, from side to side of the frame. Never along the edge of the blade.", "26 in", ""),
			supply, missing.example("knife"), condition, weight, width, depth, height, price, more,
		},
	},
	{
		Kind: pb.Kind_KIND_CASTERS, Heading: "Machines that cast type",
		About: "They have a pot for molten metal. The lagging of an old pot may be asbestos and its switches may hold mercury: look, and open nothing.",
		Questions: []Question{
			title("What does it say on it?", "Line caster, model 8"),
			{Key: "class", Ask: "Which of these is it?", Help: "line caster: taller than a person, with a keyboard. display slug caster: as high as a table, lines are set by hand. type caster: makes single letters.", Example: "line caster", Short: "Sort"},
			maker, model, serial, supply, missing.example("magazines"), condition, weight, width, depth, height, price, more,
		},
	},
	{
		Kind: pb.Kind_KIND_STONES, Heading: "Flat stones and steel tops",
		About: "A flat slab, of stone or of steel, on a table or on drawers: pages are put together on it. It is far heavier than it looks.",
		Questions: []Question{
			title("What is it, and what does it rest on?", "Imposing stone on an oak cabinet"),
			size("How large is the slab, and how thick?", "Length, width, thickness, in inches.", "36x24x2", "stone"),
			material, condition.example("working, one corner chipped"), weight.example("400 lb"), price, more,
		},
	},
	{
		Kind: pb.Kind_KIND_CABINETS, Heading: "Cabinets and cases",
		About: "A cabinet holds shallow drawers, called cases, with many small boxes in them. What lies in the cases is listed by itself. Never pull a full case out alone: two people, one at each end.",
		Questions: []Question{
			title("What is it?", "Oak type cabinet"),
			{Key: "class", Ask: "Which of these is it?", Help: "type cabinet: many shallow drawers. type case: a single drawer. galley cabinet: slots for metal trays. furniture cabinet: open racks for strips of wood or metal.", Example: "type cabinet", Short: "Sort", Drawing: "case"},
			size("How many drawers does it take, and are they all there?", "Count the places, and say the number of drawers.", "24 cases", "cabinet"),
			width.shown("cabinet").example("37.5 in"), depth.example("24 in"), height.example("44 in"), material.example("oak"), count, condition.example("working, one drawer sticks"), price, more,
		},
	},
	{
		Kind: pb.Kind_KIND_METAL_TYPE, Heading: "Metal type", Many: true,
		About: "Small pieces of grey metal, each with a letter at one end, in the drawers of a cabinet. It is lead: wash your hands, and blow no dust. Each drawer is one lot, or all drawers with the same label.",
		Questions: []Question{
			title("What does the label of the drawer say?", "24 point gothic"),
			size("How large is the type?", "The number on the label, in points. If there is none, measure a piece as drawn, over the body and not over the letter, and write how many inches in the last question.", "24 pt", "type"),
			{Key: "cases", Ask: "How many drawers does it fill?", Help: "A half-full drawer is 0.5.", Example: "1", Short: "Drawers"},
			{Key: "height_to_paper", Ask: "If you have a caliper: how tall is a piece, from foot to letter?", Help: "Most in North America and Britain are 0.918 in. Measure several. Leave it out without a caliper: a ruler is not fine enough.", Example: "0.918 in", Short: "Tall"},
			condition.example("working, a few letters worn"), weight.example("40 lb"), price.example("$60"), more.example("Second cabinet, drawer 7."),
		},
	},
	{
		Kind: pb.Kind_KIND_WOOD_TYPE, Heading: "Wood type", Many: true,
		About: "Large letters of wood, for posters. Never wash them: water swells the wood. Each alphabet is one lot.",
		Questions: []Question{
			title("What are the letters like?", "Tall narrow letters, capitals only"),
			size("How tall is the block of wood that carries a letter?", "Printers count it in lines, six to the inch: a block of 2 in is 12 line. Measure along the tall side of the letter, the block and not the letter.", "12 line", "woodtype"),
			pieces, {Key: "missing", Ask: "Which letters or figures are missing?", Help: "Lay out A to Z, and 0 to 9. Write none if all are there.", Example: "K, J", Short: "Missing"},
			condition.example("working, some cracked"), price.example("$200"), more.example("Third cabinet, drawer 2."),
		},
	},
	{
		Kind: pb.Kind_KIND_CUTS, Heading: "Printing blocks", Many: true,
		About: "Pictures to print from, of metal on wood or of wood; printers call them cuts. A box or a drawer is one lot.",
		Questions: []Question{
			title("What do they show?", "Animals and holiday pictures"),
			pieces.example("40"), {Key: "material", Ask: "What are they made of?", Help: "Zinc, copper or lead on wood; or all of wood.", Example: "zinc on wood", Short: "Made of"},
			size("How large is the largest?", "Two sides, in inches.", "3x4", ""), condition.example("working"), price.example("$40"), more.example("Box under the stone."),
		},
	},
	{
		Kind: pb.Kind_KIND_ORNAMENTS, Heading: "Ornaments, borders and rule", Many: true,
		About:     "Small decorations of the same metal as the type, and strips of brass that print lines. A drawer or a box is one lot.",
		Questions: []Question{title("What are they?", "Christmas ornaments"), condition.example("working"), weight.example("12 lb"), price.example("$30"), more.example("First cabinet, drawer 11.")},
	},
	{
		Kind: pb.Kind_KIND_SPACING, Heading: "Spacing", Many: true,
		About:     "Strips and blocks of metal or wood that print nothing: they fill the room between the type. A rack, a drawer or a box is one lot.",
		Questions: []Question{title("What is it, and what does it lie in?", "Wood furniture in a rack"), material.example("maple"), condition.example("working"), weight.example("80 lb"), price.example("free"), more.example("By the stone.")},
	},
	{
		Kind: pb.Kind_KIND_BINDERY, Heading: "For binding books",
		About:     "Folders, drills, stitchers, sewing frames.",
		Questions: []Question{title("What is it, or what does it say on it?", "Foot-worked wire stitcher"), maker, model, serial, supply, missing.example("treadle"), condition, weight.example("150 lb"), width, depth, height, price, more},
	},
	{
		Kind: pb.Kind_KIND_TOOLS, Heading: "Tools", Many: true,
		About:     "Sticks (small metal trays with a sliding end), keys, mallets, rulers, rollers, tins of ink. Things that go together are one lot.",
		Questions: []Question{title("What are they?", "Composing sticks"), count.example("5"), condition.example("working"), price.example("$60"), more.example("Top drawer of the bench.")},
	},
	{
		Kind: pb.Kind_KIND_OTHER, Heading: "Everything else", Many: true,
		About:     "Paper, books, samples of what was printed, the papers of the shop. Keep the last two: a library or a museum may want them.",
		Questions: []Question{title("What is it?", "Specimen books, 1930s"), count.example("4"), condition.example("working"), price.example("free"), more.example("On the shelf by the door.")},
	},
}
