package access

import (
	"context"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/store"
)

// Relation is what a caller is to a thing. Where they are several to it, it is the
// closest: an operator who keeps a shop is its keeper.
type Relation string

// What a caller can be to a thing.
const (
	// Anonymous is without a token.
	Anonymous Relation = "anonymous"
	// Pending has an account that is not let in yet.
	Pending Relation = "pending"
	// Stranger has an account, and nothing to do with the thing.
	Stranger Relation = "stranger"
	// GoBetween speaks for the shop, by a delegation that stands.
	GoBetween Relation = "go-between"
	// Keeper keeps the shop.
	Keeper Relation = "keeper"
	// Seeker has the wanted list.
	Seeker Relation = "seeker"
	// Self is an account to itself.
	Self Relation = "self"
	// Operator runs the registry, and is nothing closer to the thing.
	Operator Relation = "operator"
)

// general is what a caller is to whatever they have nothing to do with.
func (c Caller) general() Relation {
	switch {
	case c.Anonymous():
		return Anonymous
	case c.Pending:
		return Pending
	case c.Operator:
		return Operator
	}
	return Stranger
}

// OfShop is what a caller is to a shop, "shops/{shop}", or to what is in it. A shop
// that is not there, and one that nobody has a tie to, is a stranger's.
func OfShop(ctx context.Context, from store.Reader, c Caller, shop string) (Relation, error) {
	return of(ctx, from, c, shop, Keeper)
}

// OfList is what a caller is to a wanted list, "wantedLists/{id}", also to one that
// was dropped: its alerts stay the seeker's.
func OfList(ctx context.Context, from store.Reader, c Caller, list string) (Relation, error) {
	return of(ctx, from, c, list, Seeker)
}

// SeesDrafts tells whether a caller sees what of a shop is not for everybody.
func SeesDrafts(ctx context.Context, from store.Reader, c Caller, shop string) (bool, error) {
	if c.Local || c.Operator {
		return true, nil
	}
	r, err := OfShop(ctx, from, c, shop)
	return r == Keeper || r == GoBetween, err
}

// OfAccount is what a caller is to an account.
func OfAccount(c Caller, account string) Relation {
	if c.Local || c.Account != "" && c.Account == account {
		return Self
	}
	return c.general()
}

var relations = map[pb.Relation]Relation{
	pb.Relation_RELATION_GO_BETWEEN: GoBetween, pb.Relation_RELATION_KEEPER: Keeper, pb.Relation_RELATION_SEEKER: Seeker,
}

// of is what a caller is to a thing; owner is what the one is who has it.
func of(ctx context.Context, from store.Reader, c Caller, thing string, owner Relation) (Relation, error) {
	if c.Local {
		return owner, nil
	}
	if c.Account == "" || c.Pending {
		return c.general(), nil
	}
	t, err := TieOf(ctx, from, c.Account, thing)
	if err != nil {
		return Anonymous, err
	}
	if r := relations[t.GetRelation()]; r != "" {
		return r, nil
	}
	return c.general(), nil
}
