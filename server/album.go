package server

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"gocloud.dev/blob"
	"gocloud.dev/blob/fileblob"
	_ "gocloud.dev/blob/memblob" // mem://, for trying things out
	"gocloud.dev/gcerrors"

	"heirpress/server/store"
)

// An album is where the bytes of photos are, and the pieces of uploads under way.
// Keys have no folders in them, so that a folder of files has one level:
//
//	photo.shops.a.lots.b.photos.c.full, and .thumb
//	upload.<64 hexadecimal digits>.<12 digits: from which byte on>
type album struct {
	bucket *blob.Bucket
	// dir is the folder of files, where it is our own: what is written there is on
	// disk before it is acknowledged. Other stores see to that themselves.
	dir string
	// darkroom has room for one file that is made into a photo.
	darkroom chan struct{}
}

const (
	photoPrefix  = "photo."
	uploadPrefix = "upload."
	fullSuffix   = ".full"
	thumbSuffix  = ".thumb"
)

// albumFolder is the folder of photos in a data folder.
const albumFolder = "photos"

func openAlbum(ctx context.Context, dir, address string) (*album, error) {
	if address == "" {
		dir = filepath.Join(dir, albumFolder)
		bucket, err := fileblob.OpenBucket(dir, &fileblob.Options{
			CreateDir: true, DirFileMode: 0o700, NoTempDir: true, Metadata: fileblob.MetadataDontWrite,
		})
		if err != nil {
			return nil, fmt.Errorf("the folder of photos cannot be opened: %w", err)
		}
		return newAlbum(bucket, dir), nil
	}
	bucket, err := blob.OpenBucket(ctx, address)
	if err != nil {
		return nil, fmt.Errorf("the blob store of photos cannot be opened: %w", err)
	}
	return newAlbum(bucket, ""), nil
}

func newAlbum(bucket *blob.Bucket, dir string) *album {
	return &album{bucket: bucket, dir: dir, darkroom: make(chan struct{}, 1)}
}

func (a *album) close() error { return a.bucket.Close() }

// photoKey is where a photo or, with thumbSuffix, its thumbnail is.
func photoKey(name, suffix string) string {
	return photoPrefix + strings.ReplaceAll(name, "/", ".") + suffix
}

// photoOfKey is the name of the photo that a key is of.
func photoOfKey(key string) (name string, is bool) {
	name, is = strings.CutPrefix(key, photoPrefix)
	name = strings.TrimSuffix(strings.TrimSuffix(name, fullSuffix), thumbSuffix)
	return strings.ReplaceAll(name, ".", "/"), is
}

// write writes a blob, whole or not at all.
func (a *album) write(ctx context.Context, key string, body []byte) error {
	if err := a.bucket.WriteAll(ctx, key, body, nil); err != nil {
		return albumAway(err)
	}
	if a.dir == "" {
		return nil
	}
	return errors.Join(flush(filepath.Join(a.dir, key), os.O_RDWR), flush(a.dir, os.O_RDONLY))
}

// flush has a file, or the entries of a folder, written to disk. Some systems keep
// no folders open; there it does nothing.
func flush(path string, flag int) error {
	f, err := os.OpenFile(path, flag, 0)
	if err != nil {
		return err
	}
	err = f.Sync()
	if errors.Is(err, errors.ErrUnsupported) || errors.Is(err, fs.ErrInvalid) || errors.Is(err, fs.ErrPermission) {
		err = nil
	}
	return errors.Join(err, f.Close())
}

// remove deletes a blob. One that is not there is no error.
func (a *album) remove(ctx context.Context, key string) error {
	err := a.bucket.Delete(ctx, key)
	if gcerrors.Code(err) == gcerrors.NotFound {
		return nil
	}
	return err
}

// albumAway is a fault of the blob store, as a caller is told it: the store's own
// words may say where it is. A call that was given up is no fault of it.
func albumAway(err error) error {
	if err == nil || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return &albumError{cause: err}
}

// An albumError is a fault of the blob store.
type albumError struct{ cause error }

func (e *albumError) Error() string { return "blob store of photos: " + e.cause.Error() }
func (e *albumError) Unwrap() error { return e.cause }

// A piece is a part of a file that has been received.
type piece struct {
	key       string
	from, end int64
}

// uploadKey is what the pieces of an upload begin with. Nobody's upload is that of
// another account.
func uploadKey(account, parent, id string, size int64, sum []byte) string {
	h := sha256.New()
	fmt.Fprintf(h, "%q %q %q %d %x", account, parent, id, size, sum)
	return uploadPrefix + hex.EncodeToString(h.Sum(nil)) + "."
}

// pieces are those of an upload that follow one another from the first byte on, and
// how many bytes they have together.
func (a *album) pieces(ctx context.Context, upload string) (all []piece, received int64, err error) {
	for list := a.bucket.List(&blob.ListOptions{Prefix: upload}); ; {
		one, err := list.Next(ctx)
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, 0, albumAway(err)
		}
		if from, err := strconv.ParseInt(strings.TrimPrefix(one.Key, upload), 10, 64); err == nil {
			all = append(all, piece{key: one.Key, from: from, end: from + one.Size})
		}
	}
	slices.SortFunc(all, func(a, b piece) int { return int(a.from - b.from) })
	for n, p := range all {
		if p.from > received {
			return all[:n], received, nil
		}
		received = max(received, p.end)
	}
	return all, received, nil
}

func (a *album) writePiece(ctx context.Context, upload string, from int64, body []byte) error {
	return a.write(ctx, fmt.Sprintf("%s%012d", upload, from), body)
}

// whole is the file that an upload's pieces make.
func (a *album) whole(ctx context.Context, pieces []piece, size int64) ([]byte, error) {
	file := make([]byte, 0, size)
	for _, p := range pieces {
		body, err := a.bucket.ReadAll(ctx, p.key)
		if err != nil {
			return nil, albumAway(err)
		}
		known := int64(len(file)) - p.from // where two streams sent the same bytes
		if known < int64(len(body)) {
			file = append(file, body[max(0, known):]...)
		}
	}
	return file, nil
}

// dropPieces deletes the pieces of an upload.
func (a *album) dropPieces(ctx context.Context, pieces []piece) error {
	var errs []error
	for _, p := range pieces {
		errs = append(errs, a.remove(ctx, p.key))
	}
	return errors.Join(errs...)
}

// How long what no photo has is left alone.
const (
	keepUploads = 24 * time.Hour
	keepOrphans = time.Hour // while a photo is being made, its bytes are there before its record
	sweepFirst  = time.Minute
	sweepEvery  = time.Hour
)

// sweep removes, now and then, what is left of uploads that were given up and of
// photos that are no more.
func (r *Registry) sweep(ctx context.Context) {
	timer := time.NewTimer(sweepFirst)
	defer timer.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-timer.C:
		}
		if n, err := r.SweepPhotos(ctx, time.Now()); err != nil && ctx.Err() == nil {
			r.log.Error("photos: not swept", "error", err)
		} else if n > 0 {
			r.log.Info("photos: swept", "blobs", n)
		}
		timer.Reset(sweepEvery)
	}
}

// SweepPhotos deletes the bytes that belong to no photo: pieces of uploads that a
// day before now were given up, and blobs without a record. It returns how many
// blobs it deleted. What it does not know, it leaves.
func (r *Registry) SweepPhotos(ctx context.Context, now time.Time) (deleted int, err error) {
	for list := r.photos.bucket.List(nil); ; {
		one, err := list.Next(ctx)
		if err == io.EOF {
			return deleted, nil
		}
		if err != nil {
			return deleted, err
		}
		orphan, err := r.isOrphan(ctx, one.Key, now.Sub(one.ModTime))
		if err != nil {
			return deleted, err
		}
		if !orphan {
			continue
		}
		if err := r.photos.remove(ctx, one.Key); err != nil {
			return deleted, err
		}
		deleted++
	}
}

// isOrphan tells whether a blob of an age belongs to no photo and to no upload that
// may still go on.
func (r *Registry) isOrphan(ctx context.Context, key string, age time.Duration) (bool, error) {
	if strings.HasPrefix(key, uploadPrefix) {
		return age > keepUploads, nil
	}
	name, is := photoOfKey(key)
	if !is || age <= keepOrphans {
		return false, nil
	}
	_, err := r.store.Get(ctx, name)
	if errors.Is(err, store.ErrNotFound) {
		return true, nil
	}
	return false, err
}
