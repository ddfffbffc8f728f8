package server

import (
	"context"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
	"heirpress/server/record"
	"heirpress/server/store"
)

type wantService struct {
	pb.UnimplementedWantServiceServer
	*Registry
}

func (s *wantService) CreateWantedList(ctx context.Context, req *pb.CreateWantedListRequest) (*pb.CreateWantedListResponse, error) {
	list := proto.CloneOf(req.GetWantedList())
	if err := checkWantedList(list); err != nil {
		return nil, err
	}
	if err := s.checkDelivery(req.GetDelivery()); err != nil {
		return nil, err
	}
	list.Name = "wantedLists/" + newID(list.GetTitle())
	list.Revision, list.Etag = 0, ""
	return once(ctx, s.store, req, new(pb.CreateWantedListResponse), func(tx store.Tx) (*pb.CreateWantedListResponse, error) {
		list.CreateTime, list.UpdateTime = now(tx), now(tx)
		r, err := wantedListRecord(list)
		if err != nil {
			return nil, err
		}
		if r, err = tx.Create(ctx, r); err != nil {
			return nil, taken(err, "wanted list", "this title")
		}
		if err := deliverToo(ctx, tx, list.GetName(), req.GetDelivery()); err != nil {
			return nil, err
		}
		written, err := record.WantedList(r)
		return &pb.CreateWantedListResponse{WantedList: written, Change: r.Revision, Notes: s.deliveryNotes(req.GetDelivery())}, err
	})
}

func wantedListRecord(list *pb.WantedList) (store.Record, error) {
	body, err := record.Body(list)
	return store.Record{
		Name: list.GetName(), Collection: store.WantedLists, Key: trade.FoldTitle(list.GetTitle()), Body: body,
	}, err
}

func (s *wantService) GetWantedList(ctx context.Context, req *pb.GetWantedListRequest) (*pb.GetWantedListResponse, error) {
	list, err := get(ctx, s.store, store.WantedLists, req.GetName(), record.WantedList)
	if err != nil {
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
	lists, next, err := listOrFind(ctx, s.store, listing, trade.FoldTitle(req.GetTitle()), record.WantedList)
	if err != nil {
		return nil, err
	}
	return &pb.ListWantedListsResponse{WantedLists: lists, NextPageToken: s.nextPage(ctx, asked, next)}, nil
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
		if etag := req.GetWantedList().GetEtag(); etag != "" && etag != before.GetEtag() {
			return stale(before.GetName(), before.GetEtag())
		}
		if answer, err = updateWantedList(ctx, tx, before, req); err != nil {
			return err
		}
		answer.Notes = s.deliveryNotes(req.GetDelivery())
		return deliverToo(ctx, tx, before.GetName(), req.GetDelivery())
	})
	return answer, err
}

func updateWantedList(ctx context.Context, tx store.Tx, before *pb.WantedList, req *pb.UpdateWantedListRequest) (*pb.UpdateWantedListResponse, error) {
	list := proto.CloneOf(before)
	if err := change(list, proto.CloneOf(req.GetWantedList()), req.GetUpdateMask(), wantedListFields); err != nil {
		return nil, err
	}
	if err := checkWantedList(list); err != nil {
		return nil, err
	}
	if proto.Equal(before, list) {
		return &pb.UpdateWantedListResponse{WantedList: before, Change: before.GetRevision()}, nil
	}
	list.UpdateTime = now(tx)
	r, err := wantedListRecord(list)
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
