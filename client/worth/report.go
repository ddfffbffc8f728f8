package worth

import (
	"fmt"
	"maps"
	"slices"

	pb "heirpress/proto/heirpress/v1"
)

// Input is all that a report is made from.
type Input struct {
	// Lots are what is to be told of.
	Lots []*pb.Lot
	// Sales are what it is held against.
	Sales []Sale
	// Today is the day of the report. Required.
	Today *pb.Date
	// Currency is what the report is in. Required.
	Currency string
	// Yearly is by how much prices rise in a year, 0.03 for 3 percent; nil: prices
	// are not adjusted for time.
	Yearly *float64
	// OldestYears is how long ago a sale may lie; 0 means 15.
	OldestYears float64
	// Scrap are the prices of metals that the user was told, each metal once.
	Scrap []ScrapPrice
	// Recovery is how much of the weight a dealer pays for, 0 to 1; nil: all.
	Recovery *float64
	// Moving is what is known of a buyer's move.
	Moving Moving
}

// Report is what lots may fetch.
type Report struct {
	Lots []Lot `json:"lots"`
	// Total is what they may fetch together.
	Total Total `json:"total"`
	// Currency is what every amount is in.
	Currency string `json:"currency"`
	// Today is the day of the report.
	Today *pb.Date `json:"-"`
	// ScrapLow and ScrapHigh are what the metal of all would bring; both 0 where
	// no price was given.
	ScrapLow  float64 `json:"scrapLow,omitempty"`
	ScrapHigh float64 `json:"scrapHigh,omitempty"`
	// Notes say what this is, and what it is not.
	Notes []string `json:"notes"`
}

// Lot is what one lot may fetch.
type Lot struct {
	Lot *pb.Lot `json:"-"`
	// Name, Tag and Title say which.
	Name  string `json:"name"`
	Tag   string `json:"tag"`
	Title string `json:"title"`
	// Spread is how the sales lie, Comparables are they, the most alike first, and
	// Passed those of its kind that were passed over, with how many and why.
	Spread      Spread       `json:"spread"`
	Comparables []Comparable `json:"comparables,omitempty"`
	Passed      []string     `json:"passed,omitempty"`
	// Floor is what its metal would bring; nil where that cannot be said.
	Floor *Floor `json:"floor,omitempty"`
	// Move is what a buyer has to pay beside the price.
	Move *Move `json:"move,omitempty"`
}

// Make makes a report.
func Make(in Input) *Report {
	sold := make([]features, len(in.Sales))
	for i, s := range in.Sales {
		sold[i] = featuresOf(s.Lot, s.Complete)
	}
	r := &Report{Currency: in.Currency, Today: in.Today, Notes: notes()}
	for _, l := range in.Lots {
		lot := in.lot(l, sold)
		if lot.Floor != nil {
			r.ScrapLow, r.ScrapHigh = r.ScrapLow+lot.Floor.Low, r.ScrapHigh+lot.Floor.High
		}
		r.Lots = append(r.Lots, lot)
	}
	r.Total = in.total(r.Lots, sold)
	return r
}

func (in *Input) lot(l *pb.Lot, sold []features) Lot {
	used, passed := in.compare(featuresOf(l, nil), sold, func(*Sale) bool { return false })
	lot := Lot{Lot: l, Name: l.GetName(), Tag: l.GetTag(), Title: l.GetTitle(), Comparables: used, Spread: spreadOf(adjusted(used))}
	for _, why := range slices.Sorted(maps.Keys(passed)) {
		lot.Passed = append(lot.Passed, fmt.Sprintf("%d %s", passed[why], why))
	}
	lot.Floor = in.floor(l, lot.Spread)
	lot.Move = in.move(l)
	return lot
}

func notes() []string {
	return []string{
		"This is a range of recorded sales of the like, adjusted as shown. It is no opinion of what these very things are worth, and nobody has seen them for it.",
		"Where money hangs on the figure, as in an estate, a divorce, an insurance claim, or a gift for which tax is to be deducted (in the United States above $5,000; from memory: ask the tax office), have a qualified appraiser see them.",
		"Median and quartiles are those that Hyndman and Fan number 7. Adjustments marked as a design choice rest on no published figures.",
	}
}
