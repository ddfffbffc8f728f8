package main

import (
	"context"
	"fmt"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/sidebyside/lots"
)

// firstFresh is the number of the first shop that is posted after loading; no
// shop that is loaded has one as high.
const firstFresh = 1_000_000

// poster posts further shops into a heirpressd, a few lots at a time, as if
// keepers were at it all day. It is for one goroutine.
type poster struct {
	d    *daemon
	lots *lots.Generator
	next int // the number of the next shop

	shop string    // the shop being filled
	left []*pb.Lot // what is still to be posted into it
}

// newPoster posts after the shops that are there already.
func newPoster(ctx context.Context, d *daemon, g *lots.Generator) (*poster, error) {
	p := &poster{d: d, lots: g, next: firstFresh}
	for {
		title := g.Shop(p.next).Shop.GetTitle()
		there, err := d.shops.ListShops(ctx, &pb.ListShopsRequest{Title: title, PageSize: 1})
		if err != nil || len(there.GetShops()) == 0 {
			return p, err
		}
		p.next++
	}
}

// post posts so many lots: of one shop, and then of the next.
func (p *poster) post(ctx context.Context, many int) error {
	for many > 0 {
		if len(p.left) == 0 {
			if err := p.open(ctx); err != nil {
				return err
			}
		}
		n := min(many, len(p.left))
		_, err := p.d.lots.BatchCreateLots(ctx, &pb.BatchCreateLotsRequest{Parent: p.shop, Lots: p.left[:n]})
		if err != nil {
			return fmt.Errorf("posting into %s: %w", p.shop, err)
		}
		p.left, many = p.left[n:], many-n
	}
	return nil
}

// open opens the next shop.
func (p *poster) open(ctx context.Context) error {
	shop := p.lots.Shop(p.next)
	p.next++
	opened, err := p.d.shops.CreateShop(ctx, &pb.CreateShopRequest{Shop: shop.Shop})
	if err != nil {
		return fmt.Errorf("shop %q: %w", shop.Shop.GetTitle(), err)
	}
	p.shop, p.left = opened.GetShop().GetName(), shop.Lots
	return nil
}
