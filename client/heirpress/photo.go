package main

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

func (a *app) photo() *cobra.Command {
	c := &cobra.Command{
		Use:   "photo",
		Short: "photos of a lot or a shop",
		Long: `Add photos to a lot or a shop, list, fetch and remove them. JPEG and PNG are taken, up
to 32 MiB and 25 million pixels. What is kept is made anew from the pixels: where and
when a photo was taken, and with what, is not in it. Who sees a lot sees its photos:
leave out faces, papers with names, and what shows from the street where the shop is.`,
		Example: `  heirpress photo add P1 front.jpg nameplate.jpg
  heirpress photo list P1
  heirpress photo get marrowby-job-printing-k3q7z/p1/4kx9mw2prt -o front.jpg
  heirpress photo remove marrowby-job-printing-k3q7z/p1/4kx9mw2prt`,
		Args: noWords,
		RunE: func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	c.AddCommand(a.photoAdd(), a.photoList(), a.photoGet(), a.photoRemove())
	return c
}

func (a *app) photoAdd() *cobra.Command {
	var caption string
	c := &cobra.Command{
		Use:   "add LOT|SHOP FILE...",
		Short: "add photos; one that is there already is not added again",
		Long: `Add photos to a lot, or to a shop itself. A file that is not taken is told and the
others are added. Where the connection breaks, it goes on; broken off altogether, the
same command goes on from what had arrived, for a day.`,
		Example: `  heirpress photo add P1 front.jpg nameplate.jpg
  heirpress photo add marrowby-job-printing-k3q7z stairs.jpg --caption "the stairs down, 34 in wide"`,
		Args: words(2, -1, "the ID of a lot or a shop, or a lot's tag, and the files"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.with(c.Context(), func(conn *client.Client) error {
				return a.addPhotos(c.Context(), conn, args[0], args[1:], caption)
			})
		},
	}
	c.Flags().StringVar(&caption, "caption", "", "what they show, in a `line`")
	return c
}

// addPhotos adds each file that can be added, and tells of those that cannot.
func (a *app) addPhotos(ctx context.Context, conn *client.Client, what string, paths []string, caption string) error {
	of, err := a.pictured(ctx, conn, what)
	if err != nil {
		return err
	}
	failed := 0
	for _, path := range paths {
		if err := a.addPhoto(ctx, conn, of, path, caption); err != nil {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			failed++
			a.note("%s", explain(err))
		}
	}
	if failed > 0 {
		a.note("%d of %s not added.", failed, trade.FormatCount(len(paths), "file"))
		return errTold
	}
	return nil
}

func (a *app) addPhoto(ctx context.Context, conn *client.Client, of, path, caption string) error {
	file, err := os.ReadFile(path)
	if err != nil {
		return unreadable(path, err)
	}
	p, err := conn.AddPhoto(ctx, of, caption, file, nil)
	if err != nil {
		return &inFile{path, err}
	}
	if a.json {
		return a.printJSON(p)
	}
	a.printf("%s: %s\n", path, photoFacts(p))
	return nil
}

// pictured is the resource name of the lot or shop that a person means.
func (a *app) pictured(ctx context.Context, conn *client.Client, what string) (string, error) {
	found, err := conn.Lookup(ctx, what)
	if found.Lot != nil {
		return found.Lot.GetName(), err
	}
	return found.Shop.GetName(), err
}

func photoFacts(p *pb.Photo) string {
	facts := fmt.Sprintf("%s, %d x %d pixels, %d KB", client.PhotoID(p.GetName()), p.GetWidthPx(), p.GetHeightPx(), (p.GetSizeBytes()+1023)/1024)
	if p.GetCaption() != "" {
		facts += "; " + p.GetCaption()
	}
	return facts
}

func (a *app) photoList() *cobra.Command {
	return &cobra.Command{
		Use:     "list LOT|SHOP",
		Short:   "the photos of a lot, or of a shop itself",
		Example: `  heirpress photo list P1`,
		Args:    words(1, 1, "the ID of a lot or a shop, or a lot's tag"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.with(c.Context(), func(conn *client.Client) error { return a.listPhotos(c.Context(), conn, args[0]) })
		},
	}
}

func (a *app) listPhotos(ctx context.Context, conn *client.Client, what string) error {
	of, err := a.pictured(ctx, conn, what)
	if err != nil {
		return err
	}
	all, err := conn.AllPhotos(ctx, of)
	if err != nil {
		return err
	}
	for _, p := range all {
		if a.json {
			err = a.printJSON(p)
		} else {
			a.printf("%s; added on %s\n", photoFacts(p), momentText(p.GetCreateTime().AsTime()))
		}
		if err != nil {
			return err
		}
	}
	if len(all) == 0 {
		a.note("There are no photos of %s.", client.ID(of))
		return errNothing
	}
	return nil
}

func (a *app) photoGet() *cobra.Command {
	var out string
	var thumbnail bool
	c := &cobra.Command{
		Use:     "get PHOTO",
		Short:   "write a photo to a file",
		Example: `  heirpress photo get marrowby-job-printing-k3q7z/p1/4kx9mw2prt -o front.jpg`,
		Args:    words(1, 1, "the ID of a photo, as heirpress photo list shows it"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.with(c.Context(), func(conn *client.Client) error {
				return a.getPhoto(c.Context(), conn, args[0], out, thumbnail)
			})
		},
	}
	c.Flags().StringVarP(&out, "out", "o", "", "the `file` to write; usually the photo's own name, here")
	c.Flags().BoolVar(&thumbnail, "thumbnail", false, "its thumbnail instead")
	return c
}

func (a *app) getPhoto(ctx context.Context, conn *client.Client, id, out string, thumbnail bool) error {
	p, file, err := conn.Photo(ctx, client.PhotoName(id), thumbnail)
	if err != nil {
		return err
	}
	out = cmp.Or(out, photoFile(p, thumbnail))
	f, err := os.OpenFile(out, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return unreadable(out, err)
	}
	_, err = f.Write(file)
	if shut := f.Close(); err == nil {
		err = shut
	}
	if err != nil {
		return unreadable(out, err)
	}
	a.note("%s is in %s", client.PhotoID(p.GetName()), out)
	return nil
}

// photoFile is what a photo is called as a file.
func photoFile(p *pb.Photo, thumbnail bool) string {
	name := p.GetName()[strings.LastIndex(p.GetName(), "/")+1:]
	switch {
	case thumbnail:
		return name + "-small.jpg"
	case p.GetMediaType() == "image/png":
		return name + ".png"
	}
	return name + ".jpg"
}

func (a *app) photoRemove() *cobra.Command {
	return &cobra.Command{
		Use:     "remove PHOTO...",
		Short:   "remove photos",
		Example: `  heirpress photo remove marrowby-job-printing-k3q7z/p1/4kx9mw2prt`,
		Args:    words(1, -1, "the ID of a photo, as heirpress photo list shows it"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.with(c.Context(), func(conn *client.Client) error {
				for _, id := range args {
					if _, err := conn.Photos.DeletePhoto(c.Context(), &pb.DeletePhotoRequest{Name: client.PhotoName(id)}); err != nil {
						return err
					}
					a.note("%s is removed", client.PhotoID(client.PhotoName(id)))
				}
				return nil
			})
		},
	}
}
