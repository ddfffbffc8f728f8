package server

import (
	"cmp"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"time"

	"google.golang.org/grpc/codes"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/photo"
	"heirpress/server/record"
	"heirpress/server/store"
)

const (
	mostChunk  = 1 << 20          // bytes in one message of an upload
	pieceBytes = 1 << 20          // of an upload that are written together
	lastWrite  = 10 * time.Second // for what had arrived of a stream that broke off
)

func (s *photoService) UploadPhoto(stream pb.PhotoService_UploadPhotoServer) error {
	ctx := stream.Context()
	in := s.hear(stream)
	first, err := in.next(ctx)
	if err != nil {
		return err
	}
	u := first.GetUpload()
	if err := checkUpload("upload", u); err != nil {
		return err
	}
	if err := s.mayPicture(ctx, s.store, u.GetParent()); err != nil {
		return err
	}
	answer, err := s.uploaded(ctx, s.store, u)
	if err != nil {
		return err
	}
	if answer == nil {
		if answer, err = s.receive(ctx, in, first); err != nil {
			return err
		}
	}
	return stream.SendAndClose(answer)
}

func checkUpload(at string, u *pb.PhotoUpload) error {
	c := new(checker)
	c.required(at+".parent", u.GetParent(), 500)
	c.required(at+".upload_id", u.GetUploadId(), 100)
	if n := u.GetSizeBytes(); n < 1 || n > photo.MostBytes {
		c.wrong(at+".size_bytes", "is %d: a file has 1 to %d bytes", n, photo.MostBytes)
	}
	if n := len(u.GetSha256()); n != sha256.Size {
		c.wrong(at+".sha256", "has %d bytes: a SHA-256 has %d", n, sha256.Size)
	}
	c.text(at+".caption", u.GetCaption(), 500)
	return c.err()
}

// uploaded is what an upload that is done was answered; nil if it is not done.
func (s *photoService) uploaded(ctx context.Context, from store.Reader, u *pb.PhotoUpload) (*pb.UploadPhotoResponse, error) {
	r, err := from.Find(ctx, store.Photos, u.GetParent(), u.GetUploadId())
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	p, err := record.Photo(r)
	return &pb.UploadPhotoResponse{Photo: p, Change: r.Revision}, err
}

// receive takes what a stream sends, and makes the photo when all is there.
func (s *photoService) receive(ctx context.Context, in *hearing, first *pb.UploadPhotoRequest) (*pb.UploadPhotoResponse, error) {
	u := first.GetUpload()
	_, received, err := s.photos.pieces(ctx, uploader(ctx, u))
	if err != nil {
		return nil, err
	}
	if first.GetOffset() != received {
		return nil, problem(codes.FailedPrecondition, ReasonUploadOffset, "%d bytes of the file have been received, not %d: go on from there", received, first.GetOffset())
	}
	into := &arrival{service: s, upload: u, key: uploader(ctx, u), at: received}
	if err := into.take(ctx, in, first); err != nil {
		return nil, err
	}
	return s.finish(ctx, u)
}

// finish makes the photo of an upload whose pieces are all there.
func (s *photoService) finish(ctx context.Context, u *pb.PhotoUpload) (*pb.UploadPhotoResponse, error) {
	pieces, _, err := s.photos.pieces(ctx, uploader(ctx, u))
	if err != nil {
		return nil, err
	}
	file, err := s.photos.whole(ctx, pieces, u.GetSizeBytes())
	if err != nil {
		return nil, err
	}
	answer, err := s.keep(ctx, u, file)
	if refusal := new(Problem); err == nil || errors.As(err, &refusal) && refusal.code == codes.InvalidArgument {
		if err := s.photos.dropPieces(context.WithoutCancel(ctx), pieces); err != nil {
			s.log.WarnContext(ctx, "photos: pieces left to be swept", "error", err)
		}
	}
	return answer, err
}

// keep writes the photo that a file makes: the bytes first, so that there is no
// record without them.
func (s *photoService) keep(ctx context.Context, u *pb.PhotoUpload, file []byte) (*pb.UploadPhotoResponse, error) {
	if sum := sha256.Sum256(file); string(sum[:]) != string(u.GetSha256()) {
		return nil, invalid("upload.sha256", "is not that of what was received: send the file again, from its first byte on")
	}
	if err := s.roomFor(ctx, s.store, u.GetParent()); err != nil {
		return nil, err
	}
	made, err := s.make(ctx, file)
	if err != nil {
		return nil, err
	}
	p := &pb.Photo{
		Name: u.GetParent() + "/photos/" + chance(10), Caption: u.GetCaption(), MediaType: string(made.Format),
		WidthPx: int32(made.Width), HeightPx: int32(made.Height), SizeBytes: int64(len(made.Full)), ThumbnailBytes: int64(len(made.Thumbnail)),
	}
	if err := s.photos.write(ctx, photoKey(p.GetName(), fullSuffix), made.Full); err != nil {
		return nil, err
	}
	if err := s.photos.write(ctx, photoKey(p.GetName(), thumbSuffix), made.Thumbnail); err != nil {
		return nil, err
	}
	return s.addPhoto(ctx, u, p)
}

// make makes the photo of a file, one file at a time: each may take hundreds of megabytes.
func (s *photoService) make(ctx context.Context, file []byte) (*photo.Made, error) {
	select {
	case s.photos.darkroom <- struct{}{}:
		defer func() { <-s.photos.darkroom }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	made, err := photo.Make(file)
	return made, refusedFile(err)
}

// refusedFile is why a file is not taken, as a caller is told it.
func refusedFile(err error) error {
	if why := new(photo.RefusedError); errors.As(err, &why) {
		return invalid("chunk", "the file "+why.Error())
	}
	return err
}

func (s *photoService) roomFor(ctx context.Context, from store.Reader, parent string) error {
	n, err := from.Count(ctx, store.Photos, parent)
	if err == nil && n >= mostPhotos {
		return problem(codes.ResourceExhausted, ReasonTooMuch, "%s has %d photos, as many as it may: remove one first", parent, n)
	}
	return err
}

// addPhoto writes the record of a photo, unless another stream has made one of the
// same upload meanwhile.
func (s *photoService) addPhoto(ctx context.Context, u *pb.PhotoUpload, p *pb.Photo) (answer *pb.UploadPhotoResponse, err error) {
	err = s.store.Write(ctx, func(tx store.Tx) error {
		if err := s.mayPicture(ctx, tx, u.GetParent()); err != nil {
			return err
		}
		if answer, err = s.uploaded(ctx, tx, u); answer != nil || err != nil {
			return err
		}
		if err := s.roomFor(ctx, tx, u.GetParent()); err != nil {
			return err
		}
		p.CreateTime = now(tx)
		body, err := record.Body(p)
		if err != nil {
			return err
		}
		r, err := tx.Create(ctx, store.Record{Name: p.GetName(), Collection: store.Photos, Parent: u.GetParent(), Key: u.GetUploadId(), Body: body})
		answer = &pb.UploadPhotoResponse{Photo: p, Change: r.Revision}
		return err
	})
	return answer, err
}

// An arrival is a file that is coming in.
type arrival struct {
	service *photoService
	upload  *pb.PhotoUpload
	key     string
	at      int64  // how much is written
	pending []byte // and what is not yet
}

// take takes the pieces of a stream until all of the file is there. What had
// arrived when the stream broke off is written too.
func (a *arrival) take(ctx context.Context, in *hearing, m *pb.UploadPhotoRequest) error {
	for {
		if err := a.add(m); err != nil {
			return err
		}
		done := a.at+int64(len(a.pending)) == a.upload.GetSizeBytes()
		if done || len(a.pending) >= pieceBytes {
			if err := a.write(ctx); err != nil {
				return err
			}
		}
		if done {
			return nil
		}
		var err error
		if m, err = in.next(ctx); err == nil && m.GetUpload() != nil {
			err = invalid("upload", "stands in the first message of a stream only")
		}
		if err != nil {
			return errors.Join(a.endedEarly(err), a.writeLast(ctx))
		}
	}
}

// endedEarly is an error of the stream; a stream that ended in order, but before the
// file did, is one.
func (a *arrival) endedEarly(err error) error {
	if errors.Is(err, io.EOF) {
		return invalid("chunk", fmt.Sprintf("the stream ended at byte %d of %d: go on with another", a.at+int64(len(a.pending)), a.upload.GetSizeBytes()))
	}
	return err
}

// add takes the bytes of a message. The first of a file tell whether it is one that
// is taken at all.
func (a *arrival) add(m *pb.UploadPhotoRequest) error {
	end := a.at + int64(len(a.pending)+len(m.GetChunk()))
	switch {
	case len(m.GetChunk()) > mostChunk:
		return invalid("chunk", fmt.Sprintf("has %d bytes: at most %d", len(m.GetChunk()), mostChunk))
	case end > a.upload.GetSizeBytes():
		return invalid("chunk", fmt.Sprintf("ends at byte %d of a file of %d", end, a.upload.GetSizeBytes()))
	}
	a.pending = append(a.pending, m.GetChunk()...)
	if a.at == 0 && len(a.pending) >= photo.HeadBytes {
		_, err := photo.FormatOf(a.pending)
		return refusedFile(err)
	}
	return nil
}

func (a *arrival) write(ctx context.Context) error {
	if len(a.pending) == 0 {
		return nil
	}
	err := a.service.photos.writePiece(ctx, a.key, a.at, a.pending)
	a.at, a.pending = a.at+int64(len(a.pending)), a.pending[:0]
	return err
}

func (a *arrival) writeLast(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), lastWrite)
	defer cancel()
	return a.write(ctx)
}

// A hearing is the messages of an upload, as they come.
type hearing struct {
	*photoService
	messages chan heard
}

type heard struct {
	message *pb.UploadPhotoRequest
	err     error
}

// hear begins to listen to a stream. It ends with the stream.
func (s *photoService) hear(stream pb.PhotoService_UploadPhotoServer) *hearing {
	h := &hearing{s, make(chan heard)}
	go func() {
		for {
			m, err := stream.Recv()
			select {
			case h.messages <- heard{m, err}:
			case <-stream.Context().Done():
				return
			}
			if err != nil {
				return
			}
		}
	}()
	return h
}

// next is the next message. A stream that sends nothing for long is told to come
// back, as are all when the server stops.
func (h *hearing) next(ctx context.Context) (*pb.UploadPhotoRequest, error) {
	patience := time.NewTimer(cmp.Or(h.config.StreamPatience, usualPatience))
	defer patience.Stop()
	select {
	case m := <-h.messages:
		return m.message, m.err
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-patience.C:
		return nil, tryAgain(ReasonSlowWriter, "nothing was sent for too long: go on with another stream", time.Second)
	case <-h.draining.Done():
		return nil, shuttingDown()
	}
}

// sendBody sends bytes in pieces.
func (s *photoService) sendBody(stream pb.PhotoService_GetPhotoServer, body io.Reader) error {
	for {
		chunk := make([]byte, sent) // a message that is being sent is not to change
		n, err := io.ReadFull(body, chunk)
		if n > 0 {
			if err := s.sendPiece(stream, &pb.GetPhotoResponse{Chunk: chunk[:n]}); err != nil {
				return err
			}
		}
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			return nil
		}
		if err != nil {
			return albumAway(err)
		}
	}
}

// sendPiece sends one message. A reader who does not take it for long is told to
// come back.
func (s *photoService) sendPiece(stream pb.PhotoService_GetPhotoServer, m *pb.GetPhotoResponse) error {
	done := make(chan error, 1)
	go func() { done <- stream.Send(m) }() // Ends with the stream, if not before.
	patience := time.NewTimer(cmp.Or(s.config.StreamPatience, usualPatience))
	defer patience.Stop()
	select {
	case err := <-done:
		return err
	case <-patience.C:
		return tryAgain(ReasonSlowReader, "nothing was read for too long: go on from the byte reached", time.Second)
	case <-s.draining.Done():
		return shuttingDown()
	}
}
