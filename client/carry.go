package client

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"slices"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// Settle says what is done where both sides have changed.
type Settle int

// Ways to settle.
const (
	Show   Settle = iota // nothing: it is shown
	Mine                 // what is here is written over what is there
	Theirs               // what is there stays, and counts as settled
)

// What carrying can do besides Changed, Unchanged and Refused.
const (
	Brought Outcome = "carried"  // it is new there
	Left    Outcome = "left"     // it is rehomed or withdrawn here, and was never there
	Clash   Outcome = "conflict" // see the conflict
)

// Conflict is what a person has to settle.
type Conflict struct {
	// Why says what is the matter, as "it was changed on both sides".
	Why string
	// Fields are what differs, if that is known.
	Fields []Difference
}

// Difference is a field that says one thing here and another there.
type Difference struct{ Field, Here, There string }

// CarriedLot is a lot and what became of it.
type CarriedLot struct {
	// Lot is the lot as it is here.
	Lot *pb.Lot
	// There is its name on the server; empty if it is not there.
	There string
	// Outcome is what was done.
	Outcome Outcome
	// Conflict says why it was not carried; nil unless Outcome is Clash.
	Conflict *Conflict
	// Problems say why it was refused.
	Problems []FieldProblem
}

// CarryReport is what carrying a shop came to.
type CarryReport struct {
	// Shop is the shop as it is here; There is its name on the server.
	Shop  *pb.Shop
	There string
	// Outcome is Brought, Changed, Unchanged, Refused or Clash.
	Outcome  Outcome
	Conflict *Conflict
	Problems []FieldProblem
	// Lots is every lot of it, in the order they were posted; none if the shop
	// could not be carried.
	Lots []CarriedLot
	// Photos is how many photos were carried.
	Photos int
	// Change is the change number of the last write; 0 if nothing was written.
	Change uint64
}

// Count tells how many lots had an outcome.
func (r *CarryReport) Count(o Outcome) int {
	n := 0
	for _, l := range r.Lots {
		if l.Outcome == o {
			n++
		}
	}
	return n
}

// Whole tells whether there is nothing left that somebody has to settle.
func (r *CarryReport) Whole() bool {
	return r.Outcome != Clash && r.Outcome != Refused && r.Count(Clash)+r.Count(Refused) == 0
}

// Carry brings a shop of one registry to another, a server, or brings what is
// there up to date with what has changed here. It may be cut off anywhere and is
// then done again: what the server has answered, and what it was asked without
// the answer coming back, is in the notes, and nothing is there twice. What was
// changed on both sides, and a title or tag that something else has there, is a
// conflict: it is reported and left alone, unless settle says otherwise. Photos are
// carried once: one that is removed on either side afterwards stays so there.
func Carry(ctx context.Context, from, to *Client, notes *CarryNotes, server string, shop *pb.Shop, settle Settle) (*CarryReport, error) {
	c := &carrier{to: to, notes: notes.of(server, shop.GetName()), settle: settle, report: &CarryReport{Shop: shop}}
	if err := c.takeUp(ctx); err != nil {
		return c.report, err
	}
	ok, err := c.shop(ctx)
	if err != nil || !ok {
		return c.report, err
	}
	lots, err := from.AllLots(ctx, shop.GetName())
	if err != nil {
		return c.report, err
	}
	if err = c.lots(ctx, lots); err == nil {
		err = c.photos(ctx, from)
	}
	to.findable(ctx, c.report.Change)
	return c.report, err
}

type carrier struct {
	to     *Client
	notes  *shopNotes
	settle Settle
	report *CarryReport
}

func (c *carrier) wrote(change uint64) { c.report.Change = max(c.report.Change, change) }

// takeUp sends again what was sent without an answer: a server that has done it
// answers as it did then.
func (c *carrier) takeUp(ctx context.Context) error {
	var p pending
	found, err := c.notes.get(pendingKey, &p)
	if !found || err != nil {
		return err
	}
	if p.Shop != nil {
		req := new(pb.CreateShopRequest)
		if err := protojson.Unmarshal(p.Shop, req); err != nil {
			return err
		}
		_, err = c.createShop(ctx, req)
	} else {
		req := new(pb.BatchCreateLotsRequest)
		if err := protojson.Unmarshal(p.Lots, req); err != nil {
			return err
		}
		err = c.createLots(ctx, req, p.From)
	}
	if err == nil || !refusal(err) {
		return err
	}
	return c.notes.put(map[string]any{pendingKey: nil}) // it had not been done, and now cannot be
}

// refusal tells whether a server has looked at a request and would not do it.
func refusal(err error) bool {
	return slices.Contains([]codes.Code{codes.InvalidArgument, codes.AlreadyExists, codes.NotFound, codes.FailedPrecondition, codes.Aborted}, Code(err))
}

var carriedShopFields = append([]string{"title"}, postedShopFields...)

// carriedShop is what is carried of a shop.
func carriedShop(s *pb.Shop) *pb.Shop { return only(s, carriedShopFields).(*pb.Shop) }

// only is a message with some of its fields.
func only(m proto.Message, fields []string) proto.Message {
	from := proto.CloneOf(m).ProtoReflect()
	to := from.New()
	for i := range from.Descriptor().Fields().Len() {
		f := from.Descriptor().Fields().Get(i)
		if from.Has(f) && slices.Contains(fields, string(f.Name())) {
			to.Set(f, from.Get(f))
		}
	}
	return to.Interface()
}

// shop carries the shop itself, and tells whether its lots can follow.
func (c *carrier) shop(ctx context.Context) (ok bool, err error) {
	var n note
	found, err := c.notes.get(shopKey, &n)
	if err != nil {
		return false, err
	}
	if !found {
		return c.newShop(ctx)
	}
	c.report.There = n.There
	got, err := c.to.Shops.GetShop(ctx, &pb.GetShopRequest{Name: n.There})
	if Code(err) == codes.NotFound {
		c.report.Outcome, c.report.Conflict = Clash, &Conflict{Why: "it was carried before, and is not there any more"}
		return false, nil
	}
	if err != nil {
		return false, err
	}
	base, stood, err := agreement(n, carriedShop(got.GetShop()), carriedShopFields)
	if err != nil {
		return false, err
	}
	return true, c.renewShop(ctx, base, stood, got.GetShop())
}

// agreement is what was said here and there when both sides last agreed. If there
// is said what was last asked for, that was done, and they have agreed on it.
func agreement[M proto.Message](n note, there M, fields []string) (base, stood M, err error) {
	if n.Sent != nil {
		if sent, err := readNote[M](n.Sent); err == nil && alike(sent, there, fields) {
			return sent, sent, nil
		}
	}
	if base, err = readNote[M](n.Base); err != nil || n.Stood == nil {
		return base, base, err
	}
	stood, err = readNote[M](n.Stood)
	return base, stood, err
}

// agreed is the note that both sides are as somebody wants them.
func agreed(here, there proto.Message, name string, fields []string) note {
	n := note{There: name, Base: rawOf(here)}
	if !alike(here, there, fields) {
		n.Stood = rawOf(there)
	}
	return n
}

// alike tells whether two messages say the same in some fields.
func alike(a, b proto.Message, fields []string) bool {
	return len(unlike(a, b, fields...).GetPaths()) == 0
}

func (c *carrier) newShop(ctx context.Context) (ok bool, err error) {
	here := carriedShop(c.report.Shop)
	req := &pb.CreateShopRequest{Shop: here, RequestId: rand.Text()}
	if err := c.notes.put(map[string]any{pendingKey: pending{Shop: rawOf(req)}}); err != nil {
		return false, err
	}
	_, err = c.createShop(ctx, req)
	if err == nil {
		c.report.Outcome = Brought
		return true, nil
	}
	if !refusal(err) {
		return false, err
	}
	if err := c.notes.put(map[string]any{pendingKey: nil}); err != nil {
		return false, err
	}
	if Code(err) != codes.AlreadyExists {
		c.report.Outcome, c.report.Problems = Refused, problemsOf(err, "shop.")
		return false, nil
	}
	return c.sameTitle(ctx, here)
}

// problemsOf are the fields that a refusal names, or its message.
func problemsOf(err error, prefix string) (problems []FieldProblem) {
	for _, p := range FieldProblems(err) {
		p.Field = trimPrefix(p.Field, prefix)
		problems = append(problems, p)
	}
	if len(problems) == 0 {
		problems = []FieldProblem{{Message: Explain(err)}}
	}
	return problems
}

func (c *carrier) createShop(ctx context.Context, req *pb.CreateShopRequest) (*pb.Shop, error) {
	made, err := c.to.Shops.CreateShop(ctx, req)
	if err != nil {
		return nil, err
	}
	c.wrote(made.GetChange())
	c.report.There = made.GetShop().GetName()
	return made.GetShop(), c.notes.put(map[string]any{
		shopKey: note{There: made.GetShop().GetName(), Base: rawOf(req.GetShop())}, pendingKey: nil,
	})
}

// sameTitle looks at the shop that has the title there: if it says the same as
// the one here, it is that one.
func (c *carrier) sameTitle(ctx context.Context, here *pb.Shop) (ok bool, err error) {
	found, err := c.to.Shops.ListShops(ctx, &pb.ListShopsRequest{Title: here.GetTitle()})
	if err != nil {
		return false, err
	}
	if len(found.GetShops()) == 0 {
		return false, errors.New("the server has a shop of that title, and does not show it")
	}
	there := found.GetShops()[0]
	differs := unlike(here, carriedShop(there), carriedShopFields...).GetPaths()
	if len(differs) == 0 {
		c.report.There, c.report.Outcome = there.GetName(), Unchanged
		return true, c.notes.put(map[string]any{shopKey: note{There: there.GetName(), Base: rawOf(here)}})
	}
	c.report.Outcome = Clash
	c.report.Conflict = &Conflict{
		Why:    fmt.Sprintf("another shop there has its title (%s): give the one here another title, or make them say the same", ID(there.GetName())),
		Fields: differences(here, there, differs),
	}
	return false, nil
}

// renewShop carries what was changed here since both sides last agreed.
func (c *carrier) renewShop(ctx context.Context, base, stood, there *pb.Shop) error {
	here := carriedShop(c.report.Shop)
	mine := unlike(base, here, carriedShopFields...)
	theirs := !alike(stood, carriedShop(there), carriedShopFields)
	c.report.Outcome = Unchanged
	differs := unlike(here, carriedShop(there), carriedShopFields...).GetPaths()
	switch {
	case len(mine.GetPaths()) == 0:
		return nil
	case len(differs) == 0, theirs && c.settle == Theirs:
		return c.notes.put(map[string]any{shopKey: agreed(here, carriedShop(there), there.GetName(), carriedShopFields)})
	case theirs && c.settle == Show:
		c.report.Outcome, c.report.Conflict = Clash, bothChanged(here, there, differs)
		return nil
	}
	if theirs {
		mine.Paths = differs
	}
	asked := proto.CloneOf(here)
	asked.Name, asked.Etag = there.GetName(), there.GetEtag()
	sending := note{There: there.GetName(), Base: rawOf(base), Stood: rawOf(stood), Sent: rawOf(merged(carriedShop(there), here, mine.GetPaths()))}
	if err := c.notes.put(map[string]any{shopKey: sending}); err != nil {
		return err
	}
	made, err := c.to.Shops.UpdateShop(ctx, &pb.UpdateShopRequest{Shop: asked, UpdateMask: mine})
	switch {
	case Code(err) == codes.Aborted:
		c.report.Outcome, c.report.Conflict = Clash, &Conflict{Why: "it was being changed there: carry it again"}
		return nil
	case err != nil && refusal(err):
		c.report.Outcome, c.report.Problems = Refused, problemsOf(err, "shop.")
		return nil
	case err != nil:
		return err
	}
	c.wrote(made.GetChange())
	c.report.Outcome = Changed
	return c.notes.put(map[string]any{shopKey: agreed(here, carriedShop(made.GetShop()), there.GetName(), carriedShopFields)})
}

// merged is what there becomes with some fields of here.
func merged(there, here proto.Message, fields []string) proto.Message {
	to, from := proto.CloneOf(there).ProtoReflect(), here.ProtoReflect()
	for _, name := range fields {
		f := to.Descriptor().Fields().ByName(protoName(name))
		if from.Has(f) {
			to.Set(f, from.Get(f))
		} else {
			to.Clear(f)
		}
	}
	return to.Interface()
}

func bothChanged(here, there proto.Message, fields []string) *Conflict {
	return &Conflict{Why: "it was changed here and there since it was last carried", Fields: differences(here, there, fields)}
}

func differences(here, there proto.Message, fields []string) (all []Difference) {
	for _, f := range fields {
		all = append(all, Difference{Field: keyOf(f), Here: said(here, f), There: said(there, f)})
	}
	return all
}

// said is what a message says in a field, as a person reads it.
func said(m proto.Message, field string) string {
	r := m.ProtoReflect()
	f := r.Descriptor().Fields().ByName(protoName(field))
	if !r.Has(f) {
		return "nothing"
	}
	switch v := r.Get(f).Interface().(type) {
	case string:
		return v
	}
	if f.Message() != nil {
		switch one := r.Get(f).Message().Interface().(type) {
		case *pb.Money:
			return trade.FormatMoney(one)
		case *pb.Date:
			return trade.FormatDate(one)
		default:
			return compactJSON(one)
		}
	}
	if f.Name() == "state" {
		return trade.StateWord(pb.LotState(r.Get(f).Enum()))
	}
	return r.Get(f).String()
}
