package form

import (
	"fmt"
	"io"
	"strings"
)

// Item is one line of the checklist.
type Item struct {
	// Text is what to do or to know.
	Text string
	// Grounds say what it rests on.
	Grounds string
}

type section struct {
	ID, Heading string
	Items       []Item
}

const (
	practice = "common practice, no source"
	memory   = "from memory, source not checked"
)

// checklistLead says what the list is and what it is not.
var checklistLead = []string{
	"For a family, or anyone, that has to clear a printing shop. Nothing here has to be done today but one thing: let nothing be thrown away before somebody who knows has seen the list.",
	"It is no legal, medical or tax advice. Local rules go before it, and so does the word of those licensed to say: a lawyer, an electrician, a machinery rigger, a waste authority.",
	"Behind each line stands what it rests on.",
}

var checklist = []section{
	{"dont", "What not to do", []Item{
		{"Do not melt anything. Hot lead gives off fumes, and type that is melted is gone: it is worth more as type than as metal.", practice},
		{"Do not sell for scrap yet. Scrap merchants will call; ask what they would pay, so that you know the least it is worth, and wait.", practice},
		{"Do not tip drawers out or put two together. A mixed drawer takes days to sort, and mostly nobody does.", practice},
		{"Do not wash wood type, or leave it in the damp: wood swells and cracks.", practice},
		{"Do not blow dust out of drawers, or sweep it dry. The dust in type drawers has been found to hold 15 to 38 percent of lead. Wipe with a damp cloth, or use a vacuum with a HEPA filter.", "the share of lead: published, Rambousek, Industrial Poisoning; the advice: " + practice},
		{"Do not run a machine, oil it, or take it apart to see.", practice},
		{"Do not take labels off drawers, and do not part a cabinet from its drawers.", practice},
		{"Do not carry a full drawer alone. A drawer of type mostly weighs 25 to 60 pounds, and some near 100.", "25 to 60 lb: " + practice + "; near 100: published by a shop that weighed its fullest"},
		{"Do not leave rubber or glue rollers pressed against a disk or type: they get flat spots.", practice},
		{"Do not pour out ink or solvents. Old stock may hold benzene: keep it closed, and ask the local authority when it takes hazardous waste.", practice},
		{"Do not leave rags with oil or ink in a heap: they can catch fire by themselves. Put them in a closed metal can.", practice},
		{"Do not open old electrical boxes, motors, pots or their lagging: there may be asbestos, mercury or PCB in them.", practice},
	}},
	{"lead", "Lead, and your health", []Item{
		{"Type, slugs and most grey metal are lead with antimony and tin. Wear gloves, wash hands and face before you eat or smoke, and keep food out of the room.", practice},
		{"Keep children and pregnant women away, and wash work clothes by themselves.", practice},
		{"White powder on old type is a compound of lead: wet-wipe it, and do not sand or brush it.", practice},
		{"Where people are paid to work there, United States rules limit lead in the air to 50 micrograms a cubic metre over eight hours, and ask for measures from 30. Ask what applies where you are.", "published, 29 CFR 1910.1025 as printed in 2015"},
		{"If somebody has worked much in dust, a doctor can measure lead in the blood.", practice},
	}},
	{"authority", "Papers, and who may sell", []Item{
		{"Find out who may sell: the executor or administrator whom a court has named, or all the heirs together. Have it in writing before anything is promised.", practice},
		{"Ask whether a landlord or a lender has a claim on the machines.", practice},
		{"Ask the insurer: a home policy may not cover business tools, or visitors who are hurt.", practice},
		{"For a gift to a charity, or for an estate, you may need a qualified appraiser. In the United States a gift of things worth more than $5,000 mostly does.", memory + ": 26 CFR 1.170A-17"},
		{"Going abroad: some countries want a permit for old goods of worth, and crates must be of treated wood. Ask before you promise.", memory},
		{"Write a bill of sale: who sells and who buys, each thing with its number, as it is and where it stands, the price, who pays for the moving, on which day it changes hands, by which day it is gone, and that there is lead in it.", practice},
	}},
	{"ask", "What to ask and find out", []Item{
		{"By which day must the room be empty, and what does each day after that cost?", practice},
		{"Which floor is it on; how many steps; how wide and high is each door on the way out, turns included; can a truck stand close by?", practice},
		{"What is the floor made of, is there a basement below, and does it sag? Ask an engineer before something heavy crosses a floor you are not sure of.", practice},
		{"What is wired into the wall? A licensed electrician takes it off.", practice},
		{"Who worked here, who knew the shop, who printed with him or her? Ask them round before anything moves.", practice},
		{"Shall it stay together, or may it be parted: whole, by cabinet, or piece by piece?", practice},
		{"Who should have it, if there is a choice: a school, a museum, a working printer? Under which name shall it be known?", practice},
		{"What is known of its story: who bought what from whom, and when?", practice},
	}},
	{"list", "What to write down and photograph", []Item{
		{"Number everything with masking tape. Begin with the presses and cutters: they take longest to find a home for.", practice},
		{"Of each machine: all four sides, the maker's plate, the stamped number, the rollers, cracks, and a tape measure in the picture.", practice},
		{"Of each drawer: its label, and one picture from above with a coin or a ruler in it.", practice},
		{"Measure the inside of the chase, the iron frame that holds the type, not the paper.", practice},
		{"Measure the height of type only with a caliper, and if there is none, leave it.", practice},
		{"Look in every box for rollers, frames, wheels and keys before you write that they are missing.", practice},
	}},
	{"keep", "What to keep or to offer a library first", []Item{
		{"Books that show type, samples of what was printed, ledgers, letters, manuals, photographs. They are worth more together than sold.", practice},
		{"Take private papers out before anybody looks through.", practice},
	}},
	{"visitors", "When people come to see it", []Item{
		{"Show the town and never the street. Give the address to one person when you have agreed to meet.", practice},
		{"Do not write that the house stands empty, and show no locks or alarms in pictures. Pictures from a phone may hold the place where they were taken.", practice},
		{"Be two when somebody comes. Brass, copper, lead, small tools and the brass matrices of casting machines are what gets stolen.", practice},
		{"Have the money before anything is loaded, and have the movers show that they are insured.", practice},
		{"A press can kill. Have machinery riggers move what you are not sure of.", practice},
	}},
}

// checklistTitle heads the list.
const checklistTitle = "Before anything leaves the shop: a checklist"

// ChecklistHTML prints the checklist as one page that asks nothing of the
// network. The error is the writer's.
func ChecklistHTML(w io.Writer) error {
	return pageTemplate.Execute(w, page{Title: checklistTitle, Lead: checklistLead, Sections: checklist})
}

// ChecklistText prints the checklist as plain text, a box to tick before each
// line. The error is the writer's.
func ChecklistText(w io.Writer) error {
	var b strings.Builder
	b.WriteString(checklistTitle + "\n\n")
	for _, p := range checklistLead {
		b.WriteString(folded(p, "", "") + "\n")
	}
	for _, s := range checklist {
		b.WriteString("\n" + s.Heading + "\n\n")
		for _, it := range s.Items {
			b.WriteString(folded(fmt.Sprintf("%s (%s)", it.Text, it.Grounds), "[ ] ", "    ") + "\n")
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// textWidth is how many letters a line of text has at most.
const textWidth = 80

// folded breaks a text into lines: first stands before the first, rest before
// the others.
func folded(text, first, rest string) string {
	var b strings.Builder
	b.WriteString(first)
	long := len(first)
	for i, word := range strings.Fields(text) {
		switch n := len([]rune(word)); {
		case i == 0:
			long += n
		case long+1+n > textWidth:
			b.WriteString("\n" + rest)
			long = len(rest) + n
		default:
			b.WriteByte(' ')
			long += 1 + n
		}
		b.WriteString(word)
	}
	return b.String()
}
