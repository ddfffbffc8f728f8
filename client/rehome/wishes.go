package rehome

import (
	"fmt"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// Whole says whether the shop is to stay in one piece.
type Whole int

const (
	// WholeOrNot takes whichever comes to more points.
	WholeOrNot Whole = iota
	// WholeOnly places the shop as a whole, or not at all.
	WholeOnly
	// WholePreferred gives the whole so many points more.
	WholePreferred
)

// Points where a wish does not say how many. Design choices: a home counts as
// much as a middling fit, and a preference somewhat less than half of that.
const (
	usualHome     = 50
	usualPrefer   = 20
	usualTogether = 30
	usualWhole    = 200
)

// Wishes are what the keeper would have. The zero value wishes nothing.
type Wishes struct {
	// Whole is whether the shop is to stay in one piece, and WholePoints what that
	// is worth where it is preferred.
	Whole       Whole
	WholePoints int64
	// WholeOffers are who has offered to take everything.
	WholeOffers []WholeOffer
	// Together are lots that are to go to one home. No lot is in two of them.
	Together []Together
	// Prefer are lists that the keeper would rather give to, as a school or a
	// working printer.
	Prefer []Prefer
	// Limits are what the keeper has been told of single seekers.
	Limits []Limit
	// HomePoints are what any home counts; nil means 50.
	HomePoints *int64
	// LeastFit is the fit below which a home is not good enough.
	LeastFit float64
	// OwnKitOnly leaves out what a seeker would need hired help for.
	OwnKitOnly bool
}

// WholeOffer is an offer to take everything.
type WholeOffer struct {
	// List is the title of the wanted list, or its ID.
	List string
	// Trips is how often they will drive; 0: as often as it takes.
	Trips int
}

// Together is lots that are to go to one home.
type Together struct {
	// Tags are two lots or more.
	Tags []string
	// Must makes it a condition; without it, it is worth Points.
	Must   bool
	Points int64
}

// Prefer is a list that the keeper would rather give to.
type Prefer struct {
	// List is the title of the wanted list, or its ID.
	List string
	// Points are what every lot given there counts more.
	Points int64
}

// Limit is what the keeper has been told of one seeker.
type Limit struct {
	// List is the title of the wanted list, or its ID.
	List string
	// Budget is what they can spend in all. Nil: no more than their purse, or the
	// most that one of their wants allows, if that is more.
	Budget *pb.Money
	// Trips is how often they will drive; 0 means once.
	Trips int
}

func (w Wishes) home() int64 {
	if w.HomePoints == nil {
		return usualHome
	}
	return *w.HomePoints
}

// WishError says that a wish cannot be understood.
type WishError struct {
	// Wish is which: "together: C1, C2".
	Wish string
	// Message says what is wrong and what would be right.
	Message string
}

// Error names the wish.
func (e *WishError) Error() string { return e.Wish + ": " + e.Message }

// table finds lots and lists by what a keeper calls them.
type table struct {
	lots  map[string]int
	lists map[string]int
	twice map[string]bool
}

func tableOf(in *Input) table {
	t := table{lots: map[string]int{}, lists: map[string]int{}, twice: map[string]bool{}}
	for i, l := range in.Lots {
		tag := trade.FoldTag(l.GetTag())
		_, again := t.lots[tag]
		t.twice[tag] = again
		t.lots[tag] = i
	}
	for i, l := range in.Lists {
		t.lists[strings.TrimPrefix(l.GetName(), "wantedLists/")] = i
		t.lists[trade.FoldTitle(l.GetTitle())] = i
	}
	return t
}

func (t table) lot(wish, tag string) (int, error) {
	key := trade.FoldTag(tag)
	i, ok := t.lots[key]
	if !ok {
		return 0, &WishError{wish, fmt.Sprintf("the shop has no lot %q to place: give its tag as heirpress show prints it", tag)}
	}
	if t.twice[key] {
		return 0, &WishError{wish, fmt.Sprintf("two lots here have the tag %q: plan one shop at a time", tag)}
	}
	return i, nil
}

func (t table) list(wish, title string) (int, error) {
	if i, ok := t.lists[trade.FoldTitle(title)]; ok {
		return i, nil
	}
	if i, ok := t.lists[strings.TrimPrefix(title, "wantedLists/")]; ok {
		return i, nil
	}
	return 0, &WishError{wish, fmt.Sprintf("no wanted list here is called %q: give its title or its ID", title)}
}
