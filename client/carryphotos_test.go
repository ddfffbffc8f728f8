package client

import (
	"image"
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/photo/phototest"
)

// grey is a small picture file, another for every width.
func grey(width int) []byte { return phototest.PNG(image.NewGray(image.Rect(0, 0, width, 3)), 1) }

// Photos go with their lots, once: also where it was not noted that they had been
// sent, and not again where somebody has removed one.
func TestCarryPhotos(t *testing.T) {
	l := newLaptop(t)
	address, _ := serve(t, t.TempDir(), "")
	to, err := Connect(t.Context(), Options{Server: address})
	if err != nil {
		t.Fatal(err)
	}
	defer to.Close()
	mine, err := l.lotsByTag(t.Context(), l.shop.GetName())
	if err != nil {
		t.Fatal(err)
	}
	add := func(c *Client, parent string, width int) {
		t.Helper()
		if _, err := c.AddPhoto(t.Context(), parent, "seen from the door", grey(width), nil); err != nil {
			t.Fatal(err)
		}
	}
	carry := func(want int) *CarryReport {
		t.Helper()
		r, err := l.carry(t, to, address)
		if err != nil || r.Photos != want {
			t.Fatalf("%d photos carried (%v), want %d", r.Photos, err, want)
		}
		return r
	}
	there := func(parent string, want int) []*pb.Photo {
		t.Helper()
		all, err := to.AllPhotos(t.Context(), parent)
		if err != nil || len(all) != want {
			t.Fatalf("%d photos of %s there (%v), want %d", len(all), parent, err, want)
		}
		return all
	}
	add(l.Client, l.shop.GetName(), 4)
	add(l.Client, mine["0"].GetName(), 5)
	add(l.Client, mine["0"].GetName(), 6)
	add(l.Client, mine["2"].GetName(), 7) // withdrawn, and not carried
	r := carry(3)
	lot := ""
	for _, one := range r.Lots {
		if one.Lot.GetTag() == "0" {
			lot = one.There
		}
	}
	there(r.There, 1)
	if p := there(lot, 2)[0]; p.GetCaption() != "seen from the door" {
		t.Errorf("%v", p)
	}
	carry(0)

	// What was sent, and not noted, is not there twice.
	dir := t.TempDir()
	if l.notes, err = OpenCarryNotes(dir); err != nil {
		t.Fatal(err)
	}
	defer l.notes.Close()
	carry(3)
	there(lot, 2)
	there(r.There, 1)

	// One that is removed there stays so; one that is new is carried.
	if _, err := to.Photos.DeletePhoto(t.Context(), &pb.DeletePhotoRequest{Name: there(lot, 2)[0].GetName()}); err != nil {
		t.Fatal(err)
	}
	add(l.Client, mine["0"].GetName(), 8)
	carry(1)
	there(lot, 2)
}
