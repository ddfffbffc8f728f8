package rehome

import (
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
)

// Candidate is a lot that meets a want of a list, and how well it does.
type Candidate struct {
	List *pb.WantedList
	Want *pb.Want
	Lot  *pb.Lot
	// Fit is its score for the want.
	Fit *pb.Fit
	// Road is the way from the list's town; nil if it is not known.
	Road *place.Road
}

// Input is all that a plan is made from.
type Input struct {
	// Lots are those to be placed, each once, in the order they are told in.
	Lots []*pb.Lot
	// Lists are the wanted lists, each once. A list counts as one seeker.
	Lists []*pb.WantedList
	// Candidates pair the two.
	Candidates []Candidate
	// Wishes are the keeper's.
	Wishes Wishes
	// Today is the day from which clear-by days are counted. Nil: they are not
	// looked at.
	Today *pb.Date
}

// Stop tells whether to make do with what has been found.
type Stop func() bool
