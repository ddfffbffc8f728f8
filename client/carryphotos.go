package client

import "context"

// photos carries the photos of the shop and of those of its lots that are there. It
// follows what became of them: the photos of what is in conflict stay here.
func (c *carrier) photos(ctx context.Context, from *Client) error {
	if err := c.photosOf(ctx, from, c.report.Shop.GetName(), c.report.There); err != nil {
		return err
	}
	for _, one := range c.report.Lots {
		if one.There == "" || one.Outcome == Clash || one.Outcome == Refused {
			continue
		}
		if err := c.photosOf(ctx, from, one.Lot.GetName(), one.There); err != nil {
			return err
		}
	}
	return nil
}

// photosOf carries the photos of a shop or lot that have not been carried before. A
// photo whose carrying was cut off is sent again, and the server, which knows it by
// its bytes, adds it once.
func (c *carrier) photosOf(ctx context.Context, from *Client, here, there string) error {
	all, err := from.AllPhotos(ctx, here)
	if err != nil {
		return err
	}
	for _, p := range all {
		var n note
		if found, err := c.notes.get(p.GetName(), &n); found || err != nil {
			if err != nil {
				return err
			}
			continue
		}
		_, file, err := from.Photo(ctx, p.GetName(), false)
		if err != nil {
			return err
		}
		added, err := c.to.AddPhoto(ctx, there, p.GetCaption(), file, nil)
		if err != nil {
			return err
		}
		if err := c.notes.put(map[string]any{p.GetName(): note{There: added.GetName()}}); err != nil {
			return err
		}
		c.report.Photos++
	}
	return nil
}
