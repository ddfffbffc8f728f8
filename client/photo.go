package client

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "heirpress/proto/heirpress/v1"
)

const (
	photoChunk  = 256 << 10              // bytes sent in one message
	mostBreaks  = 6                      // of one upload or download in a row without a byte more
	firstPause  = 200 * time.Millisecond // after a break; twice as long after each more
	photosWords = "/photos/"
)

// AddPhoto adds a photo to a lot or shop, "shops/{shop}/lots/{lot}" or
// "shops/{shop}". A file that is sent again is not added again. Where the connection
// breaks it goes on from what has arrived; told, if it is not nil, hears how much
// that is.
func (c *Client) AddPhoto(ctx context.Context, parent, caption string, file []byte, told func(sent int)) (*pb.Photo, error) {
	sum := sha256.Sum256(file)
	u := &pb.PhotoUpload{Parent: parent, UploadId: hex.EncodeToString(sum[:]), SizeBytes: int64(len(file)), Sha256: sum[:], Caption: caption}
	var p *pb.Photo
	err := throughBreaks(ctx, func() (at int64, err error) {
		p, at, err = c.sendRest(ctx, u, file, told)
		return at, err
	})
	return p, err
}

// sendRest sends what has not been received of a file, and returns from where.
func (c *Client) sendRest(ctx context.Context, u *pb.PhotoUpload, file []byte, told func(int)) (*pb.Photo, int64, error) {
	got, err := c.Photos.GetUpload(ctx, &pb.GetUploadRequest{Upload: u})
	if err != nil || got.GetPhoto() != nil {
		return got.GetPhoto(), got.GetReceivedBytes(), err
	}
	at := got.GetReceivedBytes()
	p, err := c.sendFrom(ctx, u, file, at, told)
	return p, at, err
}

func (c *Client) sendFrom(ctx context.Context, u *pb.PhotoUpload, file []byte, at int64, told func(int)) (*pb.Photo, error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	stream, err := c.Photos.UploadPhoto(ctx)
	if err != nil {
		return nil, err
	}
	for m := (&pb.UploadPhotoRequest{Upload: u, Offset: at}); ; m = new(pb.UploadPhotoRequest) {
		m.Chunk = file[at:min(at+photoChunk, int64(len(file)))]
		if err := stream.Send(m); err != nil {
			break // CloseAndRecv tells why
		}
		if at += int64(len(m.GetChunk())); told != nil {
			told(int(at))
		}
		if at == int64(len(file)) {
			break
		}
	}
	answer, err := stream.CloseAndRecv()
	return answer.GetPhoto(), err
}

// throughBreaks does something that can go on where it broke off, until it is done
// or there have been several breaks without any progress between. do tells how far it
// had come when it began.
func throughBreaks(ctx context.Context, do func() (at int64, err error)) error {
	pause, breaks, reached := firstPause, 0, int64(-1)
	for {
		at, err := do()
		after, wait := askedToWait(err)
		if err == nil || !wait && !isBreak(err) {
			return err
		}
		if at > reached {
			pause, breaks, reached = firstPause, 0, at
		}
		if breaks++; breaks == mostBreaks || after > longestWait {
			return err
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(cmp.Or(after, pause)):
		}
		pause *= 2
	}
}

// isBreak tells whether an error is one after which a stream can go on: that of a
// connection, or of an offset that another stream has overtaken.
func isBreak(err error) bool {
	code := status.Code(err)
	return code == codes.Unavailable || code == codes.FailedPrecondition
}

// A ShortError says that less of a photo came than there is of it.
type ShortError struct{ Got, Want int64 }

// Error says how much came.
func (e *ShortError) Error() string {
	return fmt.Sprintf("%d bytes of the photo came, of %d: the registry's store of photos is damaged", e.Got, e.Want)
}

// Photo reads a photo, or its thumbnail, to its end, also where the connection breaks.
func (c *Client) Photo(ctx context.Context, name string, thumbnail bool) (about *pb.Photo, file []byte, err error) {
	err = throughBreaks(ctx, func() (int64, error) {
		at := int64(len(file))
		stream, err := c.Photos.GetPhoto(ctx, &pb.GetPhotoRequest{Name: name, Thumbnail: thumbnail, Offset: at})
		for err == nil {
			var m *pb.GetPhotoResponse
			if m, err = stream.Recv(); err == nil {
				about, file = cmp.Or(m.GetPhoto(), about), append(file, m.GetChunk()...)
			}
		}
		if errors.Is(err, io.EOF) {
			err = nil
		}
		return at, err
	})
	want := about.GetSizeBytes()
	if thumbnail {
		want = about.GetThumbnailBytes()
	}
	if err == nil && int64(len(file)) != want {
		err = &ShortError{Got: int64(len(file)), Want: want}
	}
	return about, file, err
}

// AllPhotos are the photos of a lot, or of a shop itself.
func (c *Client) AllPhotos(ctx context.Context, parent string) (all []*pb.Photo, err error) {
	for token := ""; ; {
		got, err := c.Photos.ListPhotos(ctx, &pb.ListPhotosRequest{Parent: parent, PageToken: token})
		if err != nil {
			return nil, err
		}
		all = append(all, got.GetPhotos()...)
		if token = got.GetNextPageToken(); token == "" {
			return all, nil
		}
	}
}

// PhotoID is the name of a photo as people type it: "shop/lot/photo", or
// "shop/photo" of a shop's own.
func PhotoID(name string) string { return strings.Replace(ID(name), photosWords, "/", 1) }

// PhotoName is the resource name of a photo, from its ID or name.
func PhotoName(id string) string {
	if strings.HasPrefix(id, "shops/") && strings.Contains(id, photosWords) {
		return id
	}
	switch parts := strings.Split(id, "/"); len(parts) {
	case 2:
		return "shops/" + parts[0] + photosWords + parts[1]
	case 3:
		return "shops/" + parts[0] + "/lots/" + parts[1] + photosWords + parts[2]
	}
	return id
}
