package form

import (
	"slices"

	pb "heirpress/proto/heirpress/v1"
)

// Question is one thing to find out about a lot.
type Question struct {
	// Key is the key of a sheet that the answer is written under.
	Key string
	// Ask is the question, in words that need no knowledge of the trade.
	Ask string
	// Help says how to find the answer, and what a word of the trade means.
	Help string
	// Example is a good answer.
	Example string
	// Short heads the column in which it is answered by hand.
	Short string
	// Drawing is the ID of the drawing that shows what to measure, or "".
	Drawing string
}

// Form is the questions about lots of one kind.
type Form struct {
	// Kind is the kind.
	Kind pb.Kind
	// Heading is what people call such things.
	Heading string
	// About says how to know one, and what is one lot.
	About string
	// Many is true for things of which there are many, a drawer or a box each:
	// they get a line each on paper, and others a page.
	Many bool
	// Questions are in the order to ask them. The first is the title.
	Questions []Question
}

// Drawings are the IDs of the drawings that the questions refer to, each once.
func (f Form) Drawings() []string {
	var ids []string
	for _, q := range f.Questions {
		if q.Drawing != "" && !slices.Contains(ids, q.Drawing) {
			ids = append(ids, q.Drawing)
		}
	}
	return ids
}

// Of is the form for a kind.
func Of(k pb.Kind) Form {
	return forms[slices.IndexFunc(forms, func(f Form) bool { return f.Kind == k })]
}

// Forms are the forms of every kind, in the order to walk through a shop: the
// machines first, since they need the most time to rehome.
func Forms() []Form { return slices.Clone(forms) }

// Shop are the questions about the shop as a whole.
func Shop() []Question { return slices.Clone(shop) }

var shop = []Question{
	{Key: "title", Ask: "What shall the shop be called?", Help: "The name over the door, or a family name. It is what seekers see.", Example: "Marrowby Job Printing", Short: "Shop"},
	{Key: "place", Ask: "In which town is it?", Help: "The town and the state or country, or a ZIP code. Never write the street: it is nobody's business until you have agreed with somebody.", Example: "Dayton, OH", Short: "Town"},
	{Key: "clear_by", Ask: "By which day must it be empty?", Help: "The end of the lease or the day of the sale of the house. Leave it out if there is no such day.", Example: "2027-01-31", Short: "Empty by"},
	{Key: "access", Ask: "How does one get in with something heavy?", Help: "Which floor; how many steps up or down; the narrowest door, its width and height; turns; whether a truck can stand close. No street and no word on locks or alarms.", Example: "Ground floor, two steps down, door 34 in wide, truck can back up to it", Short: "Way in"},
	{Key: "story", Ask: "Whose shop was it, and what was printed there?", Help: "A few sentences that may be shown to everybody.", Example: "Ida Marrowby printed tickets and posters here from 1951.", Short: "Story"},
}
