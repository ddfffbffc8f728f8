package server_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
	"heirpress/server/access"
	"heirpress/server/photo/phototest"
)

// aPhoto is a small file as a camera writes it.
var aPhoto = phototest.JPEG(phototest.Corners(64, 32), 6)

// largePhoto is one of 1.5 MB: noise cannot be made small.
var largePhoto = func() []byte {
	p := image.NewGray(image.Rect(0, 0, 1300, 1200))
	rand.Read(p.Pix)
	return phototest.PNG(p, 1)
}()

// uploadOf is the words that name a file.
func uploadOf(parent string, file []byte) *pb.PhotoUpload {
	sum := sha256.Sum256(file)
	return &pb.PhotoUpload{Parent: parent, UploadId: fmt.Sprintf("%x", sum), SizeBytes: int64(len(file)), Sha256: sum[:], Caption: "from the door"}
}

// send sends a file from a byte on, until another, in pieces.
func (r *rig) send(ctx context.Context, u *pb.PhotoUpload, file []byte, from, until int) (*pb.UploadPhotoResponse, error) {
	stream, err := r.photos.UploadPhoto(ctx)
	if err != nil {
		return nil, err
	}
	first := &pb.UploadPhotoRequest{Upload: u, Offset: int64(from)}
	for m := first; ; m = new(pb.UploadPhotoRequest) {
		m.Chunk = file[from:min(from+100_000, until)]
		from += len(m.Chunk)
		if err := stream.Send(m); err != nil || from == until {
			break // CloseAndRecv tells why
		}
	}
	return stream.CloseAndRecv()
}

func (r *rig) upload(ctx context.Context, parent string) (*pb.Photo, error) {
	got, err := r.send(ctx, uploadOf(parent, aPhoto), aPhoto, 0, len(aPhoto))
	return got.GetPhoto(), err
}

// photo reads a photo to its end.
func (r *rig) photo(ctx context.Context, req *pb.GetPhotoRequest) (*pb.Photo, []byte, error) {
	stream, err := r.photos.GetPhoto(ctx, req)
	if err != nil {
		return nil, nil, err
	}
	var about *pb.Photo
	var file []byte
	for {
		m, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			return about, file, nil
		}
		if err != nil {
			return nil, nil, err
		}
		if m.GetPhoto() != nil {
			about = m.GetPhoto()
		}
		file = append(file, m.GetChunk()...)
	}
}

// What the matrix does to photos.

func theShopOf(s *scene) string { return s.shop.GetName() }
func theLotOf(s *scene) string  { return s.lot.GetName() }

// ofPhoto is a probe of what is done to a photo that the keeper has added.
func ofPhoto(parent func(*scene) string, do func(*scene, context.Context, *pb.Photo) (bool, error)) probe {
	return func(s *scene, ctx context.Context) (bool, error) {
		p, err := s.upload(s.who[access.Keeper].in(context.WithoutCancel(ctx)), parent(s))
		if err != nil {
			return false, fmt.Errorf("the photo cannot be added: %v", err)
		}
		return do(s, ctx, p)
	}
}

func (s *scene) gets(ctx context.Context, p *pb.Photo) (bool, error) {
	_, file, err := s.photo(ctx, &pb.GetPhotoRequest{Name: p.GetName()})
	return len(file) > 0, err
}

func (s *scene) lists(ctx context.Context, p *pb.Photo) (bool, error) {
	parent, _, _ := strings.Cut(p.GetName(), "/photos/")
	return through(p.GetName(), func(token string) (*pb.ListPhotosResponse, error) {
		return s.photos.ListPhotos(ctx, &pb.ListPhotosRequest{Parent: parent, PageSize: 1, PageToken: token})
	}, func(a *pb.ListPhotosResponse) []string { return namesOf(a.GetPhotos()) })
}

func (s *scene) deletes(ctx context.Context, p *pb.Photo) (bool, error) {
	_, err := s.photos.DeletePhoto(ctx, &pb.DeletePhotoRequest{Name: p.GetName()})
	return true, err
}

// album is a shop with a lot in a new registry, and the folder of its photos.
func album(t *testing.T) (r *rig, lot string, dir string) {
	r = open(t)
	l, _ := r.lot(t, r.shop(t, "Marrowby", "Dayton, OH"), platen("P1"))
	return r, l.GetName(), filepath.Join(r.dir, "photos")
}

// files are the names of what is in a folder.
func files(t *testing.T, dir string) []string {
	t.Helper()
	all, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, f := range all {
		names = append(names, f.Name())
	}
	return names
}

func TestPhotos(t *testing.T) {
	r, lot, dir := album(t)
	sent, err := r.send(t.Context(), uploadOf(lot, aPhoto), aPhoto, 0, len(aPhoto))
	if err != nil {
		t.Fatal(err)
	}
	p := sent.GetPhoto()
	if p.GetWidthPx() != 32 || p.GetHeightPx() != 64 || p.GetCaption() != "from the door" || p.GetMediaType() != "image/jpeg" || sent.GetChange() == 0 || p.GetCreateTime() == nil {
		t.Errorf("%v, change %d", p, sent.GetChange())
	}
	about, full, err := r.photo(t.Context(), &pb.GetPhotoRequest{Name: p.GetName()})
	if err != nil || int64(len(full)) != p.GetSizeBytes() || about.GetName() != p.GetName() {
		t.Fatalf("%d bytes of %v, %v", len(full), about, err)
	}
	if c, err := jpeg.DecodeConfig(bytes.NewReader(full)); err != nil || c.Width != 32 || bytes.Contains(full, []byte(phototest.Camera)) {
		t.Errorf("%v, %v", c, err)
	}
	_, thumb, err := r.photo(t.Context(), &pb.GetPhotoRequest{Name: p.GetName(), Thumbnail: true})
	if err != nil || int64(len(thumb)) != p.GetThumbnailBytes() || len(thumb) == 0 {
		t.Errorf("thumbnail of %d bytes, %v", len(thumb), err)
	}
	_, rest, err := r.photo(t.Context(), &pb.GetPhotoRequest{Name: p.GetName(), Offset: 100})
	if err != nil || !bytes.Equal(rest, full[100:]) {
		t.Errorf("from 100 on: %d bytes, %v", len(rest), err)
	}
	if got := files(t, dir); len(got) != 2 {
		t.Errorf("in the folder: %v", got)
	}
	if _, err := r.photos.DeletePhoto(t.Context(), &pb.DeletePhotoRequest{Name: p.GetName()}); err != nil {
		t.Fatal(err)
	}
	if got := files(t, dir); len(got) != 0 {
		t.Errorf("left in the folder: %v", got)
	}
	_, _, err = r.photo(t.Context(), &pb.GetPhotoRequest{Name: p.GetName()})
	refused(t, err, codes.NotFound, server.ReasonNotFound)
	_, err = r.photos.DeletePhoto(t.Context(), &pb.DeletePhotoRequest{Name: p.GetName()})
	refused(t, err, codes.NotFound, server.ReasonNotFound)
}

// A file sent again makes no second photo, also when the first answer was lost.
func TestAPhotoIsAddedOnce(t *testing.T) {
	r, lot, _ := album(t)
	first, err := r.send(t.Context(), uploadOf(lot, aPhoto), aPhoto, 0, len(aPhoto))
	if err != nil {
		t.Fatal(err)
	}
	again, err := r.send(t.Context(), uploadOf(lot, aPhoto), aPhoto, 0, len(aPhoto))
	if err != nil || again.GetPhoto().GetName() != first.GetPhoto().GetName() || again.GetChange() != first.GetChange() {
		t.Errorf("%v, %v; first %v", again, err, first)
	}
	got, err := r.photos.GetUpload(t.Context(), &pb.GetUploadRequest{Upload: uploadOf(lot, aPhoto)})
	if err != nil || got.GetPhoto().GetName() != first.GetPhoto().GetName() {
		t.Errorf("%v, %v", got, err)
	}
	all, err := r.photos.ListPhotos(t.Context(), &pb.ListPhotosRequest{Parent: lot})
	if err != nil || len(all.GetPhotos()) != 1 {
		t.Errorf("%v, %v", all, err)
	}
}

// cutOff sends a part of a file, hangs up when more than least of it has been
// received, and returns how much that is when it does not change any more.
func (r *rig) cutOff(t *testing.T, u *pb.PhotoUpload, from, until, least int) int {
	t.Helper()
	ctx, hangUp := context.WithCancel(t.Context())
	stream, err := r.photos.UploadPhoto(ctx, grpc.WaitForReady(true))
	if err != nil {
		t.Fatal(err)
	}
	for m := (&pb.UploadPhotoRequest{Upload: u, Offset: int64(from)}); from < until; m = new(pb.UploadPhotoRequest) {
		m.Chunk = largePhoto[from:min(from+100_000, until)]
		from += len(m.Chunk)
		if err := stream.Send(m); err != nil {
			t.Fatal(err)
		}
	}
	for r.received(t, u) < least {
		time.Sleep(10 * time.Millisecond)
	}
	hangUp()
	for last := -1; ; time.Sleep(100 * time.Millisecond) {
		now := r.received(t, u)
		if now == last {
			return now
		}
		last = now
	}
}

func (r *rig) received(t *testing.T, u *pb.PhotoUpload) int {
	t.Helper()
	got, err := r.photos.GetUpload(t.Context(), &pb.GetUploadRequest{Upload: u})
	if err != nil {
		t.Fatal(err)
	}
	return int(got.GetReceivedBytes())
}

// An upload goes on where it broke off, also after the server was stopped, and makes
// the photo that it would have made at once.
func TestAnUploadGoesOn(t *testing.T) {
	r, lot, dir := album(t)
	u := uploadOf(lot, largePhoto)
	at := r.cutOff(t, u, 0, 1_200_000, 1<<20)
	_, err := r.send(t.Context(), u, largePhoto, 0, len(largePhoto))
	refused(t, err, codes.FailedPrecondition, server.ReasonUploadOffset)
	at = r.cutOff(t, u, at, min(at+100_000, len(largePhoto)-1), at)
	r.stop()
	r = openIn(t, r.dir)
	before := at
	if at = r.received(t, u); at < before || at == len(largePhoto) {
		t.Fatalf("after a stop %d bytes of %d; before it %d", at, len(largePhoto), before)
	}
	sent, err := r.send(t.Context(), u, largePhoto, at, len(largePhoto))
	if err != nil {
		t.Fatal(err)
	}
	whole, err := r.send(t.Context(), uploadOf(strings.Split(lot, "/lots/")[0], largePhoto), largePhoto, 0, len(largePhoto))
	if err != nil {
		t.Fatal(err)
	}
	_, a, err := r.photo(t.Context(), &pb.GetPhotoRequest{Name: sent.GetPhoto().GetName()})
	_, b, err2 := r.photo(t.Context(), &pb.GetPhotoRequest{Name: whole.GetPhoto().GetName()})
	if err != nil || err2 != nil || !bytes.Equal(a, b) {
		t.Errorf("in parts %d bytes, at once %d; %v, %v", len(a), len(b), err, err2)
	}
	if got := files(t, dir); len(got) != 4 {
		t.Errorf("in the folder: %v", got)
	}
}

func TestUploadsRefused(t *testing.T) {
	r, lot, dir := album(t)
	heic := []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic")
	with := func(do func(*pb.PhotoUpload)) *pb.PhotoUpload {
		u := uploadOf(lot, aPhoto)
		do(u)
		return u
	}
	for name, c := range map[string]struct {
		upload      *pb.PhotoUpload
		file        []byte
		field, says string
	}{
		"HEIC":               {uploadOf(lot, heic), heic, "chunk", "export it as JPEG"},
		"a text":             {uploadOf(lot, []byte("not a picture")), []byte("not a picture"), "chunk", "neither JPEG nor PNG"},
		"cut off":            {uploadOf(lot, aPhoto[:300]), aPhoto[:300], "chunk", "cannot be read"},
		"another file":       {with(func(u *pb.PhotoUpload) { u.Sha256 = make([]byte, 32) }), aPhoto, "upload.sha256", "send the file again"},
		"no sum":             {with(func(u *pb.PhotoUpload) { u.Sha256 = nil }), aPhoto, "upload.sha256", "a SHA-256 has 32"},
		"no ID":              {with(func(u *pb.PhotoUpload) { u.UploadId = "" }), aPhoto, "upload.upload_id", "required"},
		"no parent":          {with(func(u *pb.PhotoUpload) { u.Parent = "" }), aPhoto, "upload.parent", "required"},
		"no size":            {with(func(u *pb.PhotoUpload) { u.SizeBytes = 0 }), aPhoto, "upload.size_bytes", "1 to 33554432"},
		"too large":          {with(func(u *pb.PhotoUpload) { u.SizeBytes = 33 << 20 }), aPhoto, "upload.size_bytes", "1 to 33554432"},
		"a long caption":     {with(func(u *pb.PhotoUpload) { u.Caption = strings.Repeat("x", 501) }), aPhoto, "upload.caption", "at most 500"},
		"more than it says":  {with(func(u *pb.PhotoUpload) { u.SizeBytes = 10 }), aPhoto, "chunk", "of a file of 10"},
		"less than it says":  {with(func(u *pb.PhotoUpload) { u.SizeBytes++ }), aPhoto, "chunk", "the stream ended at byte"},
		"nothing of it said": {nil, aPhoto, "upload.parent", "required"},
	} {
		_, err := r.send(t.Context(), c.upload, c.file, 0, len(c.file))
		if says := refused(t, err, codes.InvalidArgument, server.ReasonInvalid)[c.field]; !strings.Contains(says, c.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
	_, err := r.upload(t.Context(), lot+"x")
	refused(t, err, codes.NotFound, server.ReasonNotFound)
	_, err = r.upload(t.Context(), "shops/none")
	refused(t, err, codes.NotFound, server.ReasonNotFound)
	for _, f := range files(t, dir) {
		if !strings.HasPrefix(f, "upload.") {
			t.Errorf("left in the folder: %s", f)
		}
	}
	p, err := r.upload(t.Context(), lot)
	if err != nil {
		t.Fatal(err)
	}
	_, _, err = r.photo(t.Context(), &pb.GetPhotoRequest{Name: p.GetName(), Offset: p.GetSizeBytes() + 1})
	refused(t, err, codes.OutOfRange, server.ReasonInvalid)
}

// A lot has only so many photos.
func TestMostPhotos(t *testing.T) {
	r, lot, _ := album(t)
	for n := range 51 {
		file := phototest.PNG(phototest.Corners(2+n, 2), 0)
		_, err := r.send(t.Context(), uploadOf(lot, file), file, 0, len(file))
		if n < 50 && err != nil {
			t.Fatal(err)
		}
		if n == 50 {
			refused(t, err, codes.ResourceExhausted, server.ReasonTooMuch)
		}
	}
}

// Who sends nothing, and who reads nothing, is told to come back.
func TestPhotosAndPatience(t *testing.T) {
	conn := serveWith(t, server.Config{StreamPatience: 50 * time.Millisecond})
	r := &rig{photos: pb.NewPhotoServiceClient(conn), shops: pb.NewShopServiceClient(conn)}
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	silent, err := r.photos.UploadPhoto(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := silent.Send(&pb.UploadPhotoRequest{Upload: uploadOf(shop.GetName(), aPhoto), Chunk: aPhoto[:20]}); err != nil {
		t.Fatal(err)
	}
	refused(t, silent.RecvMsg(new(pb.UploadPhotoResponse)), codes.Unavailable, server.ReasonSlowWriter)
	got, err := r.photos.GetUpload(t.Context(), &pb.GetUploadRequest{Upload: uploadOf(shop.GetName(), aPhoto)})
	if err != nil || got.GetReceivedBytes() != 20 {
		t.Errorf("%v, %v: what was sent is kept", got, err)
	}
	large := uploadOf(shop.GetName(), largePhoto)
	sent, err := r.send(t.Context(), large, largePhoto, 0, len(largePhoto))
	for codeOf(err) == codes.Unavailable { // on a busy machine we are slow ourselves
		sent, err = r.send(t.Context(), large, largePhoto, r.received(t, large), len(largePhoto))
	}
	if err != nil {
		t.Fatal(err)
	}
	stream, err := r.photos.GetPhoto(t.Context(), &pb.GetPhotoRequest{Name: sent.GetPhoto().GetName()})
	if err != nil {
		t.Fatal(err)
	}
	time.Sleep(200 * time.Millisecond)
	for err == nil {
		_, err = stream.Recv()
	}
	refused(t, err, codes.Unavailable, server.ReasonSlowReader)
}

// What belongs to no photo is swept when it is old enough; what does, stays.
func TestSweepPhotos(t *testing.T) {
	r, lot, dir := album(t)
	p, err := r.upload(t.Context(), lot)
	if err != nil {
		t.Fatal(err)
	}
	r.cutOff(t, uploadOf(lot, largePhoto), 0, 1_200_000, 1<<20)
	orphan := "photo." + strings.ReplaceAll(lot, "/", ".") + ".photos.gone.full"
	for name, body := range map[string]string{orphan: "bytes", "of-the-operator": "not ours"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(body), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	before := len(files(t, dir))
	for _, c := range []struct {
		after time.Duration
		swept int
	}{{0, 0}, {59 * time.Minute, 0}, {61 * time.Minute, 1}, {23 * time.Hour, 0}, {25 * time.Hour, before - 4}} {
		n, err := r.registry.SweepPhotos(t.Context(), time.Now().Add(c.after))
		if err != nil || n != c.swept {
			t.Errorf("after %v: %d swept, %v; want %d", c.after, n, err, c.swept)
		}
	}
	if got := files(t, dir); len(got) != 3 || before < 5 {
		t.Errorf("left of %d: %v", before, got)
	}
	if _, _, err := r.photo(t.Context(), &pb.GetPhotoRequest{Name: p.GetName()}); err != nil {
		t.Error(err)
	}
}

// The blob store can be another; a fault of it tells nothing of where it is.
func TestBlobStores(t *testing.T) {
	elsewhere := t.TempDir()
	for _, url := range []string{"mem://", "file://" + filepath.ToSlash(elsewhere) + "?no_tmp_dir=1&metadata=skip"} {
		var log lines
		r := openWith(t, server.Config{Dir: t.TempDir(), Photos: url, Log: log.logger()})
		shop := r.shop(t, "Marrowby", "Dayton, OH").GetName()
		p, err := r.upload(t.Context(), shop)
		if err != nil {
			t.Fatal(err)
		}
		if _, file, err := r.photo(t.Context(), &pb.GetPhotoRequest{Name: p.GetName()}); err != nil || int64(len(file)) != p.GetSizeBytes() {
			t.Errorf("%s: %d bytes, %v", url, len(file), err)
		}
		if url == "mem://" {
			continue
		}
		if err := os.RemoveAll(elsewhere); err != nil {
			t.Fatal(err)
		}
		_, _, err = r.photo(t.Context(), &pb.GetPhotoRequest{Name: p.GetName()})
		refused(t, err, codes.Unavailable, server.ReasonPhotosAway)
		if strings.Contains(err.Error(), elsewhere) {
			t.Errorf("told where it is: %v", err)
		}
		if said := log.String(); !strings.Contains(said, "level=ERROR") || !strings.Contains(said, elsewhere) {
			t.Errorf("the operator is not told: %s", said)
		}
	}
	for _, url := range []string{"nonsense", "ftp://example.org/photos", "file:///there/is/no/such/folder"} {
		if r, err := server.Open(t.Context(), server.Config{Dir: t.TempDir(), Photos: url}); err == nil {
			r.Close()
			t.Errorf("%s is taken", url)
		}
	}
}
