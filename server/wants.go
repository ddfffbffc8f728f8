package server

import (
	"context"
	"fmt"
	"slices"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
	"heirpress/server/access"
	"heirpress/server/record"
	"heirpress/server/store"
)

type wantService struct {
	pb.UnimplementedWantServiceServer
	*Registry
}

func (s *wantService) CreateWantedList(ctx context.Context, req *pb.CreateWantedListRequest) (*pb.CreateWantedListResponse, error) {
	if err := s.mayAct(ctx); err != nil {
		return nil, err
	}
	list := proto.CloneOf(req.GetWantedList())
	if err := s.checkList(list); err != nil {
		return nil, err
	}
	if err := s.checkDelivery(req.GetDelivery()); err != nil {
		return nil, err
	}
	list.Name = "wantedLists/" + newID(list.GetTitle())
	list.Revision, list.Etag = 0, ""
	return once(ctx, s.store, req, new(pb.CreateWantedListResponse), func(tx store.Tx) (*pb.CreateWantedListResponse, error) {
		list.CreateTime, list.UpdateTime = now(tx), now(tx)
		c := access.From(ctx)
		r, err := wantedListRecord(list, c.Account)
		if err != nil {
			return nil, err
		}
		if r, err = tx.Create(ctx, r); err != nil {
			return nil, taken(err, "wanted list", "this title")
		}
		if err := own(ctx, tx, c, list.GetName(), pb.Relation_RELATION_SEEKER); err != nil {
			return nil, err
		}
		if err := deliverToo(ctx, tx, list.GetName(), req.GetDelivery()); err != nil {
			return nil, err
		}
		written, err := record.WantedList(r)
		return &pb.CreateWantedListResponse{WantedList: written, Change: r.Revision, Notes: s.deliveryNotes(req.GetDelivery())}, err
	})
}

// checkList is checkWantedList, and refuses what a stranger may not see.
func (r *Registry) checkList(list *pb.WantedList) error {
	if err := checkWantedList(list); err != nil || r.config.Accounts == NoAccounts {
		return err
	}
	c := new(checker)
	for i, w := range list.GetWants() {
		for _, state := range w.GetFilter().GetStates() {
			if !slices.Contains(publicStates, state) {
				c.wrong(fmt.Sprintf("wanted_list.wants[%d].filter.states", i), "has %s: a want hears of lots that are offered, promised or rehomed", trade.StateWord(state))
			}
		}
	}
	return c.err()
}

func wantedListRecord(list *pb.WantedList, seeker string) (store.Record, error) {
	body, err := record.Body(list)
	return store.Record{
		Name: list.GetName(), Collection: store.WantedLists, Key: titleKey(seeker, list.GetTitle()), Body: body,
	}, err
}

func (s *wantService) GetWantedList(ctx context.Context, req *pb.GetWantedListRequest) (*pb.GetWantedListResponse, error) {
	list, err := get(ctx, s.store, store.WantedLists, req.GetName(), record.WantedList)
	if err != nil {
		return nil, err
	}
	if err := s.may(ctx, s.store, theList(list.GetName())); err != nil {
		return nil, err
	}
	return &pb.GetWantedListResponse{WantedList: list}, nil
}

func (s *wantService) ListWantedLists(ctx context.Context, req *pb.ListWantedListsRequest) (*pb.ListWantedListsResponse, error) {
	asked := &pb.ListWantedListsRequest{Title: req.GetTitle()}
	listing, err := s.listing(ctx, store.WantedLists, asked, req)
	if err != nil {
		return nil, err
	}
	lists, next, err := s.listsListed(ctx, listing, trade.FoldTitle(req.GetTitle()))
	if err != nil {
		return nil, err
	}
	return &pb.ListWantedListsResponse{WantedLists: lists, NextPageToken: s.nextPage(ctx, asked, next)}, nil
}

// listsListed is a page of the wanted lists that the caller sees, of all or of a
// title.
func (s *wantService) listsListed(ctx context.Context, l store.Listing, title string) ([]*pb.WantedList, uint64, error) {
	c := access.From(ctx)
	sees := func(list *pb.WantedList) (bool, error) { return s.sees(ctx, s.store, theList(list.GetName())) }
	if c.Local {
		return listOrFind(ctx, s.store, l, title, record.WantedList, sees)
	}
	seesTitled := func(list *pb.WantedList) (bool, error) {
		if title != "" && trade.FoldTitle(list.GetTitle()) != title {
			return false, nil
		}
		return sees(list)
	}
	if c.Operator {
		return pageSeen(ctx, s.store, l, record.WantedList, seesTitled)
	}
	own, err := ownRecords(ctx, s.store, store.WantedLists)
	if err != nil {
		return nil, 0, err
	}
	return pageRecords(own, l, record.WantedList, seesTitled)
}

func (s *wantService) UpdateWantedList(ctx context.Context, req *pb.UpdateWantedListRequest) (*pb.UpdateWantedListResponse, error) {
	if err := s.checkDelivery(req.GetDelivery()); err != nil {
		return nil, err
	}
	var answer *pb.UpdateWantedListResponse
	err := s.store.Write(ctx, func(tx store.Tx) error {
		before, err := get(ctx, tx, store.WantedLists, req.GetWantedList().GetName(), record.WantedList)
		if err != nil {
			return err
		}
		if err := s.may(ctx, tx, theList(before.GetName())); err != nil {
			return err
		}
		if etag := req.GetWantedList().GetEtag(); etag != "" && etag != before.GetEtag() {
			return stale(before.GetName(), before.GetEtag())
		}
		if answer, err = s.updateWantedList(ctx, tx, before, req); err != nil {
			return err
		}
		answer.Notes = s.deliveryNotes(req.GetDelivery())
		return deliverToo(ctx, tx, before.GetName(), req.GetDelivery())
	})
	return answer, err
}

func (s *wantService) updateWantedList(ctx context.Context, tx store.Tx, before *pb.WantedList, req *pb.UpdateWantedListRequest) (*pb.UpdateWantedListResponse, error) {
	list := proto.CloneOf(before)
	if err := change(list, proto.CloneOf(req.GetWantedList()), req.GetUpdateMask(), wantedListFields); err != nil {
		return nil, err
	}
	if err := s.checkList(list); err != nil {
		return nil, err
	}
	if proto.Equal(before, list) {
		return &pb.UpdateWantedListResponse{WantedList: before, Change: before.GetRevision()}, nil
	}
	list.UpdateTime = now(tx)
	seeker, err := access.Owner(ctx, tx, list.GetName())
	if err != nil {
		return nil, err
	}
	r, err := wantedListRecord(list, seeker)
	if err != nil {
		return nil, err
	}
	if r, err = tx.Update(ctx, r); err != nil {
		return nil, taken(err, "wanted list", "this title")
	}
	written, err := record.WantedList(r)
	return &pb.UpdateWantedListResponse{WantedList: written, Change: r.Revision}, err
}

func (s *wantService) DeleteWantedList(ctx context.Context, req *pb.DeleteWantedListRequest) (*pb.DeleteWantedListResponse, error) {
	answer := new(pb.DeleteWantedListResponse)
	err := s.store.Write(ctx, func(tx store.Tx) error {
		list, err := get(ctx, tx, store.WantedLists, req.GetName(), record.WantedList)
		if err != nil {
			return err
		}
		if err := s.may(ctx, tx, theList(list.GetName())); err != nil {
			return err
		}
		if req.GetEtag() != "" && req.GetEtag() != list.GetEtag() {
			return stale(list.GetName(), list.GetEtag())
		}
		if _, err := dropDelivery(ctx, tx, list.GetName()); err != nil {
			return err
		}
		answer.Change, err = tx.Delete(ctx, list.GetName())
		return err
	})
	return answer, err
}
