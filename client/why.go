package client

import (
	"context"
	"fmt"
	"slices"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/score"
)

// Why tells why a lot meets a want, or does not.
type Why struct {
	// List and Want are the want.
	List *pb.WantedList
	Want *pb.Want
	// Filter is what it asks, with what it takes from its list.
	Filter *pb.LotFilter
	// Lot is the lot as it now is.
	Lot *pb.Lot
	// Conditions are all that is asked; the lot meets the want where all hold.
	Conditions []search.Condition
	// Alerts are those that there have been of the want and the lot, oldest first.
	Alerts []*pb.Alert
}

// Meets tells whether the lot meets the want.
func (w Why) Meets() bool {
	return !slices.ContainsFunc(w.Conditions, func(c search.Condition) bool { return !c.Holds })
}

// NoWantError says that no want goes by what was typed.
type NoWantError struct {
	// What was typed.
	What string
}

// Error says where to look.
func (e *NoWantError) Error() string {
	return fmt.Sprintf("there is no want %q: heirpress want list shows them, each list with its ID and each want with its own", e.What)
}

// SeveralWantsError says that more lists than one have a want of an ID.
type SeveralWantsError struct {
	// What was typed.
	What string
	// Choices are what might have been: "list/want".
	Choices []string
}

// Error offers the choices.
func (e *SeveralWantsError) Error() string {
	return fmt.Sprintf("%d lists have a want %q; say which:\n  %s", len(e.Choices), e.What, strings.Join(e.Choices, "\n  "))
}

// Why explains a lot to a want, which goes by its ID, or as LIST/WANT; or to
// every want of a list, which goes by its ID. It is reckoned here, from what the
// registry says of the list and of the lot. It returns a *NoWantError or a
// *SeveralWantsError for the want, and for the lot the errors of Lookup.
func (c *Client) Why(ctx context.Context, want, lot string) ([]Why, error) {
	found, err := c.Lookup(ctx, lot)
	if err != nil {
		return nil, err
	}
	if found.Lot == nil {
		return nil, &NotFoundError{What: lot}
	}
	lists, err := c.AllWantedLists(ctx)
	if err != nil {
		return nil, err
	}
	all, err := meant(lists, want)
	if err != nil {
		return nil, err
	}
	alerts, err := c.alertsOf(ctx, all[0].List, found.Lot)
	if err != nil {
		return nil, err
	}
	for i := range all {
		all[i].explain(found.Lot, alerts)
	}
	return all, nil
}

// meant are the wants of one list that a text may mean.
func meant(lists []*pb.WantedList, what string) ([]Why, error) {
	what = WantedListID(what)
	var all []Why
	var choices []string
	for _, l := range lists {
		id := WantedListID(l.GetName())
		before := len(all)
		for _, w := range l.GetWants() {
			if what == id || what == w.GetId() || what == id+"/"+w.GetId() {
				all = append(all, Why{List: l, Want: w})
			}
		}
		if len(all) > before {
			choices = append(choices, id+"/"+all[before].Want.GetId())
		}
	}
	switch {
	case len(all) == 0:
		return nil, &NoWantError{What: what}
	case len(choices) > 1:
		return nil, &SeveralWantsError{What: what, Choices: choices}
	}
	return all, nil
}

// alertsOf are the alerts that a list has had of a lot.
func (c *Client) alertsOf(ctx context.Context, list *pb.WantedList, lot *pb.Lot) ([]*pb.Alert, error) {
	alerts, err := c.alerts(ctx, &pb.ListAlertsRequest{
		WantedList: list.GetName(), IncludeAcknowledged: true, AtLeastChange: lot.GetRevision(),
	})
	return slices.DeleteFunc(alerts, func(a *pb.Alert) bool { return a.GetLot().GetName() != lot.GetName() }), err
}

func (w *Why) explain(lot *pb.Lot, alerts []*pb.Alert) {
	w.Lot, w.Filter = lot, score.Filter(w.List, w.Want)
	w.Conditions = search.Explain(w.Filter, lot)
	for _, a := range alerts {
		if a.GetWant() == w.Want.GetId() {
			w.Alerts = append(w.Alerts, a)
		}
	}
}
