package client

import (
	"bytes"
	"context"
	"crypto/rand"
	"image"
	"io"
	"net"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/photo/phototest"
)

// noise is a picture file of about 1.5 MB.
func noise() []byte {
	p := image.NewGray(image.Rect(0, 0, 1300, 1200))
	rand.Read(p.Pix)
	return phototest.PNG(p, 1)
}

// A wire between a client and a server that is cut, so many times, when so much has
// gone over it in a direction.
type wire struct {
	address  string
	cuts     atomic.Int32
	up, down int64 // bytes that a connection carries before it is cut
}

func newWire(t *testing.T, to string, cuts int32, up, down int64) *wire {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	w := &wire{address: l.Addr().String(), up: up, down: down}
	w.cuts.Store(cuts)
	go func() {
		for {
			near, err := l.Accept()
			if err != nil {
				return
			}
			far, err := net.Dial("tcp", to)
			if err != nil {
				near.Close()
				continue
			}
			go w.carry(near, far)
		}
	}()
	return w
}

// carry carries both ways until one of them ends or is cut.
func (w *wire) carry(near, far net.Conn) {
	cut := w.cuts.Add(-1) >= 0
	way := func(to, from net.Conn, most int64) {
		defer near.Close()
		defer far.Close()
		if !cut {
			most = 1 << 40
		}
		_, _ = io.CopyN(to, from, most) // it ends with the connection, in any case
	}
	go way(near, far, w.down)
	way(far, near, w.up)
}

// A photo is added and read through a wire that is cut again and again: it goes on
// where it was.
func TestPhotosThroughBreaks(t *testing.T) {
	address, _ := serve(t, t.TempDir(), "")
	c, err := Connect(t.Context(), Options{Server: address})
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	shop, err := c.Shops.CreateShop(t.Context(), &pb.CreateShopRequest{Shop: &pb.Shop{Title: "Marrowby", Place: "Dayton, OH"}})
	if err != nil {
		t.Fatal(err)
	}
	file := noise()
	uphill := newWire(t, address, 4, 350_000, 1<<40)
	through, err := Connect(t.Context(), Options{Server: uphill.address})
	if err != nil {
		t.Fatal(err)
	}
	defer through.Close()
	p, err := through.AddPhoto(t.Context(), shop.GetShop().GetName(), "", file, nil)
	if err != nil {
		t.Fatal(err)
	}
	if left := uphill.cuts.Load(); left > 0 {
		t.Errorf("%d cuts were left: the test shows nothing", left)
	}
	_, whole, err := c.Photo(t.Context(), p.GetName(), false)
	if err != nil || int64(len(whole)) != p.GetSizeBytes() {
		t.Fatalf("%d bytes, %v", len(whole), err)
	}
	downhill := newWire(t, address, 4, 1<<40, 250_000)
	through, err = Connect(t.Context(), Options{Server: downhill.address})
	if err != nil {
		t.Fatal(err)
	}
	defer through.Close()
	_, got, err := through.Photo(t.Context(), p.GetName(), false)
	if err != nil || !bytes.Equal(got, whole) {
		t.Errorf("%d bytes, %v; want %d", len(got), err, len(whole))
	}
	if left := downhill.cuts.Load(); left > 0 {
		t.Errorf("%d cuts were left: the test shows nothing", left)
	}
	again, err := c.AddPhoto(t.Context(), shop.GetShop().GetName(), "", file, nil)
	if err != nil || again.GetName() != p.GetName() {
		t.Errorf("%v, %v: added again", again, err)
	}
}

// Where nothing goes forward, a client gives up; where something does, it goes on
// for as long as it takes. Another error than a break ends it at once.
func TestGoingOn(t *testing.T) {
	away := status.Error(codes.Unavailable, "away")
	for name, c := range map[string]struct {
		forward int64 // by how much each try is further than the last
		fails   int   // how many tries fail
		with    error
		tries   int
		done    bool
	}{
		"at once":           {0, 0, nil, 1, true},
		"a few breaks":      {0, 5, away, 6, true},
		"nothing goes":      {0, 100, away, mostBreaks, false},
		"slowly":            {1, 100, away, 101, true},
		"another error":     {1, 100, status.Error(codes.PermissionDenied, "no"), 1, false},
		"overtaken, behind": {1, 1, status.Error(codes.FailedPrecondition, "offset"), 2, true},
	} {
		synctest.Test(t, func(t *testing.T) {
			tries := 0
			err := throughBreaks(t.Context(), func() (int64, error) {
				if tries++; tries > c.fails {
					return 0, nil
				}
				return int64(tries) * c.forward, c.with
			})
			if tries != c.tries || (err == nil) != c.done {
				t.Errorf("%s: %d tries, %v; want %d", name, tries, err, c.tries)
			}
		})
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := throughBreaks(ctx, func() (int64, error) { return 0, away }); err == nil {
		t.Error("it went on after it was given up")
	}
}

func TestPhotoNames(t *testing.T) {
	for id, name := range map[string]string{
		"marrowby/p1/4kx9": "shops/marrowby/lots/p1/photos/4kx9",
		"marrowby/4kx9":    "shops/marrowby/photos/4kx9",
		"4kx9":             "4kx9",
	} {
		if got := PhotoName(id); got != name {
			t.Errorf("%s is %s, want %s", id, got, name)
		}
		if strings.Contains(name, "/") && (PhotoID(name) != id || PhotoName(name) != name) {
			t.Errorf("%s: %s, %s", name, PhotoID(name), PhotoName(name))
		}
	}
}
