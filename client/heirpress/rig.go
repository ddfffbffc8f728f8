package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"heirpress/client"
	"heirpress/client/rigging"
	"heirpress/search/place"
)

func (a *app) rig() *cobra.Command {
	var site, page, to string
	c := &cobra.Command{
		Use:   "rig ID...",
		Short: "the moving brief, with cautions",
		Long: `Write the moving brief of one lot, of several, or of a whole shop: what it weighs and
in which pieces, what can be carried, rolled and slung, how to lash it, on what
vehicle and in how many trips, what to strip and what to beware of.

Of a shop, the lots that are gone or withdrawn are left out. A site file says what is
known of the two ends, the vehicle, the people and their kit; what it does not say
becomes a question. With the town that the load goes to, the brief says how far it is, how
long a car and a loaded truck take, and which breaks the law asks for.

A brief is for planning. It defers to local codes and licensed practice.`,
		Example: `  heirpress rig P2
  heirpress rig P2 --to "Pittsburgh, PA"
  heirpress rig P2 W1 --site move.yaml
  heirpress rig marrowby-job-printing-k3q7z --site move.yaml --page brief.html`,
		Args: words(1, -1, "the ID of a lot or a shop, or a lot's tag"),
		RunE: func(c *cobra.Command, ids []string) error {
			where, err := readSite(site)
			if err != nil {
				return unreadable(site, err)
			}
			if to != "" {
				home, err := place.Find(to)
				if err != nil {
					return a.notPlaced(err)
				}
				where.To.Town = &home
			}
			return a.with(c.Context(), func(conn *client.Client) error {
				return a.rigAll(c.Context(), conn, ids, where, page)
			})
		},
	}
	c.Flags().StringVar(&site, "site", "", "a YAML `file` on the two ends, the vehicle and the kit")
	c.Flags().StringVar(&to, "to", "", "the `town` that the load goes to")
	c.Flags().StringVar(&page, "page", "", "write a page to print to this HTML `file`")
	return c
}

// readSite reads what is known of a move; nothing, if there is no file.
func readSite(path string) (*rigging.Site, error) {
	if path == "" {
		return new(rigging.Site), nil
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return rigging.ReadSite(path, file)
}

func (a *app) rigAll(ctx context.Context, conn *client.Client, ids []string, site *rigging.Site, page string) error {
	load, err := conn.Load(ctx, ids)
	if err != nil {
		return err
	}
	if len(load) == 0 {
		a.note("There is nothing there to move.")
		return errNothing
	}
	site.Journey = func(from, to place.Town) place.Journey { return conn.Journey(ctx, from, to) }
	brief := rigging.Plan(load, site)
	if page != "" {
		if err := a.writePage(brief, page); err != nil {
			return err
		}
	}
	if a.json {
		return json.NewEncoder(a.out).Encode(brief)
	}
	return rigging.Text(a.out, brief, a.unitSystem())
}

func (a *app) writePage(brief *rigging.Brief, path string) error {
	file, err := os.Create(path)
	if err != nil {
		return fmt.Errorf("the page cannot be written: %w", err)
	}
	err = rigging.HTML(file, brief, a.unitSystem())
	if shut := file.Close(); err == nil {
		err = shut
	}
	if err == nil {
		a.note("the page to print is in %s", path)
	}
	return err
}
