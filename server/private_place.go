package server

import (
	"context"
	"errors"
	"net/mail"
	"strings"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/server/access"
	"heirpress/server/private"
	"heirpress/server/store"
)

type privatePlaceService struct {
	pb.UnimplementedPrivatePlaceServiceServer
	*Registry
}

// keysThere refuses what has no meaning without a file of keys.
func (r *Registry) keysThere() error {
	if r.config.Keys == (private.Keys{}) {
		return problem(codes.FailedPrecondition, ReasonNoPrivateKey, "this registry keeps no private addresses: its heirpressd would have to be given --private-keys")
	}
	return nil
}

// whose is the shop or account that a private place's name is of, with "me" as the
// caller's account.
func whose(ctx context.Context, name string) (string, error) {
	of, is := strings.CutSuffix(name, "/privatePlace")
	if of == "accounts/me" && access.From(ctx).Account != "" {
		return access.From(ctx).Account, nil
	}
	if kind, id, parted := strings.Cut(of, "/"); !is || !parted || id == "" || strings.Contains(id, "/") || kind != "shops" && kind != "accounts" {
		return "", invalid("name", "is "+name+": write shops/SHOP/privatePlace or accounts/me/privatePlace")
	}
	return of, nil
}

// mayPrivate refuses what the caller may not do to the private place of a shop or
// account.
func (s *privatePlaceService) mayPrivate(ctx context.Context, from store.Reader, of string) error {
	if strings.HasPrefix(of, "accounts/") {
		if _, err := recordOf(ctx, from, store.Accounts, of); err != nil {
			return err
		}
		return s.may(ctx, from, thing{kind: access.AnAccount, called: "account", name: of, of: of, state: stateless})
	}
	if _, err := recordOf(ctx, from, store.Shops, of); err != nil {
		return err
	}
	return s.may(ctx, from, theShop(ctx, from, of))
}

func (s *privatePlaceService) GetPrivatePlace(ctx context.Context, req *pb.GetPrivatePlaceRequest) (*pb.GetPrivatePlaceResponse, error) {
	of, err := s.asked(ctx, req.GetName())
	if err != nil {
		return nil, err
	}
	if err := s.mayPrivate(ctx, s.store, of); err != nil {
		return nil, err
	}
	p, err := s.config.Keys.Get(ctx, s.store, private.NameOf(of))
	if errors.Is(err, store.ErrNotFound) {
		err = notFound("private place", private.NameOf(of))
	}
	return &pb.GetPrivatePlaceResponse{PrivatePlace: p}, err
}

func (s *privatePlaceService) asked(ctx context.Context, name string) (string, error) {
	if err := s.keysThere(); err != nil {
		return "", err
	}
	return whose(ctx, name)
}

func (s *privatePlaceService) SetPrivatePlace(ctx context.Context, req *pb.SetPrivatePlaceRequest) (*pb.SetPrivatePlaceResponse, error) {
	of, err := s.asked(ctx, req.GetPrivatePlace().GetName())
	if err != nil {
		return nil, err
	}
	p := proto.CloneOf(req.GetPrivatePlace())
	p.Name = private.NameOf(of)
	if err := checkPrivatePlace(p); err != nil {
		return nil, err
	}
	answer := &pb.SetPrivatePlaceResponse{PrivatePlace: p}
	err = s.store.Write(ctx, func(tx store.Tx) error {
		if err := s.mayPrivate(ctx, tx, of); err != nil {
			return err
		}
		p.UpdateTime = now(tx)
		if answer.Change, err = s.config.Keys.Put(ctx, tx, p); err != nil {
			return err
		}
		return audit(ctx, tx, actPrivate, of)
	})
	s.logged(ctx, err, actPrivate, of)
	return answer, err
}

// checkPrivatePlace checks what a caller set, and looks an account's town up.
func checkPrivatePlace(p *pb.PrivatePlace) error {
	c := new(checker)
	c.text("private_place.person", p.GetPerson(), 200)
	c.text("private_place.address", p.GetAddress(), 1_000)
	c.text("private_place.phone", p.GetPhone(), 50)
	c.text("private_place.note", p.GetNote(), 2_000)
	c.email("private_place.email", p.GetEmail())
	c.privatePoint("private_place.point", p.GetPoint())
	p.Town = nil
	switch {
	case strings.HasPrefix(p.GetName(), "shops/") && p.GetPlace() != "":
		c.wrong("private_place.place", "is not for a shop, which has a place of its own: leave it empty")
	case p.GetPlace() != "":
		p.Town = c.town("private_place.place", p.GetPlace())
	}
	if err := c.err(); err != nil {
		return err
	}
	if p.GetPlace() == "" {
		return nil
	}
	var err error
	p.Town, p.Place, err = publicTown(p.GetPlace())
	return err
}

func (c *checker) email(field, text string) {
	c.text(field, text, 254)
	if a, err := mail.ParseAddress(text); text != "" && (err != nil || a.Address != text) {
		c.wrong(field, "is not an e-mail address: write it as odile@example.org")
	}
}

// privatePoint checks a private point, and does not repeat it.
func (c *checker) privatePoint(field string, p *pb.PrivatePoint) {
	lat, lng := p.GetLatitude(), p.GetLongitude()
	if !(lat >= -90 && lat <= 90 && lng >= -180 && lng <= 180) {
		c.wrong(field, "is not a point: latitude -90 to 90, longitude -180 to 180")
	}
}

func (s *privatePlaceService) DeletePrivatePlace(ctx context.Context, req *pb.DeletePrivatePlaceRequest) (*pb.DeletePrivatePlaceResponse, error) {
	of, err := s.asked(ctx, req.GetName())
	if err != nil {
		return nil, err
	}
	answer := new(pb.DeletePrivatePlaceResponse)
	err = s.store.Write(ctx, func(tx store.Tx) error {
		if err := s.mayPrivate(ctx, tx, of); err != nil {
			return err
		}
		if answer.Change, err = private.Delete(ctx, tx, private.NameOf(of)); err == nil && answer.Change == 0 {
			answer.Change, err = tx.Head(ctx)
		}
		if err != nil {
			return err
		}
		return audit(ctx, tx, actForget, of)
	})
	s.logged(ctx, err, actForget, of)
	return answer, err
}

// publicTown is what everybody may know of where something is, from how a place
// that is known was written: the town, or for a place of few people the nearest
// town that has more; and what it is called. A place that was given by figures, as
// a ZIP code or coordinates, is called by its town, so that nothing finer is kept.
func publicTown(written string) (*pb.Town, string, error) {
	found, err := place.Find(written)
	if err != nil {
		return nil, "", err
	}
	if wide := place.Wide(found); wide != found || strings.ContainsAny(written, "0123456789") {
		return wide.Message(), wide.Label(), nil
	}
	return found.Message(), written, nil
}
