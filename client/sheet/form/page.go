package form

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"slices"
)

//go:embed page.html
var pageHTML string

var pageTemplate = template.Must(template.New("page").Parse(pageHTML))

// page is what the template prints: a blank sheet or a checklist.
type page struct {
	Title    string
	Lead     []string
	Shop     *block
	Forms    []block
	Sections []section
}

// block is a form on paper.
type block struct {
	ID, Heading, About, Caption string
	Many, Tagged                bool
	Drawings                    []figure
	Questions                   []asked
	// Lines are the blank lines to fill in, each with a place for each question.
	Lines [][]asked
}

// asked is a question with how much room its answer takes.
type asked struct {
	Question
	// Tall is true for answers that need more room.
	Tall bool
}

type figure struct {
	Title   string
	Picture template.HTML
}

// lead says how to fill a sheet in.
var lead = []string{
	"Put a piece of masking tape with a number, the tag, on each thing or drawer, and write the same number here. A thing, or things that go together, is a lot.",
	"Write what you see. Leave empty what you do not know: an empty place is better than a guess.",
	"Measure in inches, or write mm behind the figure. Take a photo of each lot with a ruler in it.",
	"Old type and the dust in its drawers hold lead. Wear gloves, wash your hands before you eat, blow out nothing, and keep children away.",
	"When it is filled in: heirpress walk asks the same questions at a keyboard, or type the lines into a spreadsheet and post that.",
}

// lines is how many lines there are to fill in.
const lines = 14

// HTML prints a blank sheet to fill in by hand, as one page that asks nothing of
// the network and is well-formed XML as well: for the forms given, and for the
// shop if all is true. The error is the writer's.
func HTML(w io.Writer, forms []Form, all bool) error {
	p := page{Title: "What is in the shop: a sheet to fill in by hand", Lead: lead}
	if all {
		p.Shop = &block{Caption: "The shop, to fill in", Questions: askedOf(shop)}
	}
	for _, f := range forms {
		p.Forms = append(p.Forms, blockOf(f))
	}
	return pageTemplate.Execute(w, p)
}

func blockOf(f Form) block {
	b := block{
		ID: fmt.Sprintf("kind%d", f.Kind), Heading: f.Heading, About: f.About, Many: f.Many, Tagged: true,
		Caption: "One lot, to fill in; print or copy this page for the next", Questions: askedOf(f.Questions),
	}
	for _, id := range f.Drawings() {
		d := Draw(id)
		b.Drawings = append(b.Drawings, figure{d.Title, template.HTML(d.SVG())}) // ours, and escaped where it is made
	}
	if f.Many {
		b.Caption = f.Heading + ", a line for each lot, to fill in"
		for range lines {
			b.Lines = append(b.Lines, b.Questions)
		}
	}
	return b
}

func askedOf(questions []Question) []asked {
	var all []asked
	for _, q := range questions {
		all = append(all, asked{q, slices.Contains([]string{"title", "description", "access", "story", "condition"}, q.Key)})
	}
	return all
}

// Help is the questions of forms as the rows of a table, below a heading: what
// to write under each column of a sheet, kind by kind. Questions for which a
// table has no column are left out.
func Help(forms []Form, columns []string) [][]string {
	rows := [][]string{{"kind", "column", "question", "how to find the answer", "example"}}
	for _, f := range forms {
		for _, q := range f.Questions {
			if slices.Contains(columns, q.Key) {
				rows = append(rows, []string{f.Heading, q.Key, q.Ask, q.Help, q.Example})
			}
		}
	}
	return rows
}
