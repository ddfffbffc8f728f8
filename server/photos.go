package server

import (
	"context"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/access"
	"heirpress/server/record"
	"heirpress/server/store"
)

// mostPhotos is how many photos a lot may have, and a shop of itself.
const mostPhotos = 50

type photoService struct {
	pb.UnimplementedPhotoServiceServer
	*Registry
}

// pictured is the lot or shop that photos are of, as a thing.
func pictured(ctx context.Context, from store.Reader, parent string) (thing, error) {
	if strings.Contains(parent, "/lots/") {
		lot, err := get(ctx, from, store.Lots, parent, record.Lot)
		return theLot(lot), err
	}
	_, err := recordOf(ctx, from, store.Shops, parent)
	return theShop(ctx, from, parent), err
}

// mayPicture refuses what the caller may not do to the photos of a lot or shop.
func (r *Registry) mayPicture(ctx context.Context, from store.Reader, parent string) error {
	t, err := pictured(ctx, from, parent)
	if err != nil {
		return err
	}
	return r.may(ctx, from, t)
}

// photoNamed is the record of a photo that the caller may do to what they ask.
func (r *Registry) photoNamed(ctx context.Context, from store.Reader, name string) (store.Record, error) {
	kept, err := recordOf(ctx, from, store.Photos, name)
	if err != nil {
		return kept, err
	}
	t, err := pictured(ctx, from, kept.Parent)
	if err != nil {
		return kept, err
	}
	t.called, t.name = called[store.Photos], name
	return kept, r.may(ctx, from, t)
}

func (s *photoService) ListPhotos(ctx context.Context, req *pb.ListPhotosRequest) (*pb.ListPhotosResponse, error) {
	asked := &pb.ListPhotosRequest{Parent: req.GetParent()}
	listing, err := s.listing(ctx, store.Photos, asked, req)
	if err != nil {
		return nil, err
	}
	if err := s.mayPicture(ctx, s.store, req.GetParent()); err != nil {
		return nil, err
	}
	listing.Parent = req.GetParent()
	photos, next, err := page(ctx, s.store, listing, record.Photo)
	if err != nil {
		return nil, err
	}
	return &pb.ListPhotosResponse{Photos: photos, NextPageToken: s.nextPage(ctx, asked, next)}, nil
}

// DeletePhoto takes the record away first: what is left of the bytes, should that
// be cut off, belongs to no photo and is swept.
func (s *photoService) DeletePhoto(ctx context.Context, req *pb.DeletePhotoRequest) (*pb.DeletePhotoResponse, error) {
	answer := new(pb.DeletePhotoResponse)
	err := s.store.Write(ctx, func(tx store.Tx) error {
		if _, err := s.photoNamed(ctx, tx, req.GetName()); err != nil {
			return err
		}
		change, err := tx.Delete(ctx, req.GetName())
		answer.Change = change
		return err
	})
	if err != nil {
		return nil, err
	}
	for _, suffix := range []string{fullSuffix, thumbSuffix} {
		if err := s.photos.remove(ctx, photoKey(req.GetName(), suffix)); err != nil {
			s.log.WarnContext(ctx, "photos: left to be swept", "photo", req.GetName(), "error", err)
		}
	}
	return answer, nil
}

// sent is how much of a photo goes into one message, in bytes.
const sent = 256 << 10

func (s *photoService) GetPhoto(req *pb.GetPhotoRequest, stream pb.PhotoService_GetPhotoServer) error {
	ctx := stream.Context()
	kept, err := s.photoNamed(ctx, s.store, req.GetName())
	if err != nil {
		return err
	}
	p, err := record.Photo(kept)
	if err != nil {
		return err
	}
	size, suffix := p.GetSizeBytes(), fullSuffix
	if req.GetThumbnail() {
		size, suffix = p.GetThumbnailBytes(), thumbSuffix
	}
	if req.GetOffset() < 0 || req.GetOffset() > size {
		return outOfRange("offset", req.GetOffset(), size)
	}
	if err := s.sendPiece(stream, &pb.GetPhotoResponse{Photo: p}); err != nil {
		return err
	}
	body, err := s.photos.bucket.NewRangeReader(ctx, photoKey(req.GetName(), suffix), req.GetOffset(), -1, nil)
	if err != nil {
		return albumAway(err)
	}
	defer body.Close()
	return s.sendBody(stream, body)
}

// uploader is who an upload belongs to.
func uploader(ctx context.Context, u *pb.PhotoUpload) string {
	return uploadKey(access.From(ctx).Account, u.GetParent(), u.GetUploadId(), u.GetSizeBytes(), u.GetSha256())
}

func (s *photoService) GetUpload(ctx context.Context, req *pb.GetUploadRequest) (*pb.GetUploadResponse, error) {
	if err := checkUpload("upload", req.GetUpload()); err != nil {
		return nil, err
	}
	if err := s.mayPicture(ctx, s.store, req.GetUpload().GetParent()); err != nil {
		return nil, err
	}
	done, err := s.uploaded(ctx, s.store, req.GetUpload())
	if err != nil {
		return nil, err
	}
	if done != nil {
		return &pb.GetUploadResponse{ReceivedBytes: req.GetUpload().GetSizeBytes(), Photo: done.GetPhoto()}, nil
	}
	_, received, err := s.photos.pieces(ctx, uploader(ctx, req.GetUpload()))
	if err != nil {
		return nil, err
	}
	return &pb.GetUploadResponse{ReceivedBytes: received}, nil
}
