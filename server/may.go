package server

import (
	"context"
	"errors"
	"slices"
	"strings"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/access"
	"heirpress/server/record"
	"heirpress/server/store"
)

// thing is what a call is about, as far as access goes.
type thing struct {
	kind access.Kind
	// called and name are what it is in an error.
	called, name string
	// of is what the caller's relation is to: the shop, wanted list or account that
	// the thing is, or belongs to.
	of string
	// state tells its state, if that matters.
	state func() (access.State, error)
}

func stateless() (access.State, error) { return access.AnyState, nil }

// may refuses what the caller of ctx may not do to a thing that is there, in words
// that tell no more than they may know.
func (r *Registry) may(ctx context.Context, from store.Reader, t thing) error {
	verdict, err := r.verdict(ctx, from, t)
	switch {
	case err != nil:
		return err
	case verdict == access.Yes:
		return nil
	case verdict == access.NeedToken:
		return tokenNeeded()
	case verdict == access.No:
		return denied(t)
	}
	return notFound(t.called, t.name)
}

// sees tells whether a thing is in a list, as the caller of ctx is answered it.
func (r *Registry) sees(ctx context.Context, from store.Reader, t thing) (bool, error) {
	verdict, err := r.verdict(ctx, from, t)
	return verdict == access.Yes, err
}

// verdict is what the table of access says.
func (r *Registry) verdict(ctx context.Context, from store.Reader, t thing) (access.Verdict, error) {
	c := access.From(ctx)
	if c.Local {
		return access.Yes, nil
	}
	method, _ := grpc.Method(ctx)
	rules := access.Table[method]
	if len(rules) == 0 {
		return access.Hidden, nil
	}
	relation, err := relationTo(ctx, from, c, t.of)
	if err != nil {
		return access.Hidden, err
	}
	verdict, err := rules.Of(relation, t.kind, t.state)
	if err == nil && verdict != access.Yes && c.Operator {
		return rules.Of(access.Operator, t.kind, t.state)
	}
	return verdict, err
}

func relationTo(ctx context.Context, from store.Reader, c access.Caller, name string) (access.Relation, error) {
	switch {
	case strings.HasPrefix(name, "shops/"):
		return access.OfShop(ctx, from, c, name)
	case strings.HasPrefix(name, "wantedLists/"):
		return access.OfList(ctx, from, c, name)
	}
	return access.OfAccount(c, name), nil
}

// mayAct refuses what is about no thing that there is yet.
func (r *Registry) mayAct(ctx context.Context) error {
	return r.may(ctx, r.store, thing{kind: access.AnyThing, state: stateless})
}

func denied(t thing) error {
	what := "this"
	if t.name != "" {
		what = "this to " + t.name
	}
	return problem(codes.PermissionDenied, ReasonDenied, "your account may not do %s", what)
}

// theShop is a shop as a thing.
func theShop(ctx context.Context, from store.Reader, shop string) thing {
	return thing{kind: access.AShop, called: called[store.Shops], name: shop, of: shop, state: func() (access.State, error) {
		shown, err := shopIsShown(ctx, from, shop)
		if shown {
			return "shown", err
		}
		return "hidden", err
	}}
}

// shopIsShown tells whether a shop has a lot that everybody may see.
func shopIsShown(ctx context.Context, from store.Reader, shop string) (bool, error) {
	for l := (store.Listing{Collection: store.Lots, Parent: shop, Limit: 1}); ; l.Limit = 100 {
		records, err := from.List(ctx, l)
		if err != nil || len(records) == 0 {
			return false, err
		}
		for _, r := range records {
			l.After = r.Created
			lot, err := record.Lot(r)
			if err != nil || isPublic(lot) {
				return err == nil, err
			}
		}
	}
}

// publicStates are the states in which everybody may see a lot.
var publicStates = []pb.LotState{pb.LotState_LOT_STATE_OFFERED, pb.LotState_LOT_STATE_PROMISED, pb.LotState_LOT_STATE_REHOMED}

func isPublic(lot *pb.Lot) bool { return slices.Contains(publicStates, lot.GetState()) }

// own makes the caller the owner of what they have just made.
func own(ctx context.Context, tx store.Tx, c access.Caller, name string, as pb.Relation) error {
	err := access.Own(ctx, tx, c, name, as)
	if errors.Is(err, access.ErrTooMany) {
		return problem(codes.ResourceExhausted, ReasonTooMuch, "your account has, or had, %d shops and wanted lists: that is all it may", access.MostTies)
	}
	return err
}

// theLot is a lot as a thing.
func theLot(lot *pb.Lot) thing {
	shop, _, _ := strings.Cut(lot.GetName(), "/lots/")
	return thing{kind: access.ALot, called: called[store.Lots], name: lot.GetName(), of: shop, state: func() (access.State, error) {
		return lotState(lot.GetState()), nil
	}}
}

// lotState is a state as the table of access writes it.
func lotState(s pb.LotState) access.State {
	return access.State(strings.ToLower(strings.TrimPrefix(s.String(), "LOT_STATE_")))
}

// theList is a wanted list as a thing.
func theList(name string) thing {
	return thing{kind: access.AWantedList, called: called[store.WantedLists], name: name, of: name, state: stateless}
}

// under is a thing that belongs to what it is listed under: an alert to its wanted
// list, a notice to its shop.
func under(kind access.Kind, r store.Record) thing {
	return thing{kind: kind, called: called[r.Collection], name: r.Name, of: r.Parent, state: stateless}
}
