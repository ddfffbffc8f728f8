package main

import (
	"context"
	"fmt"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/sidebyside/lots"
)

// freshPosts is how many posts are looked for.
const freshPosts = 200

// freshness is how soon a post is found, from its answer on.
type freshness struct {
	// asked is until the answer of a search that asks for the post's change, and
	// unasked until the answer of the first search without that finds it. polls is
	// how many of those it took, at most.
	asked, unasked figures
	polls          int
}

// measureFresh posts one lot at a time, and looks for each: those of even number
// by change, the others by asking again and again.
func measureFresh(ctx context.Context, d *daemon, p *poster) (*freshness, error) {
	if err := p.open(ctx); err != nil {
		return nil, err
	}
	f := new(freshness)
	var asked, unasked times
	for n := range freshPosts {
		word := fmt.Sprintf("fresh%s%s", lots.Word(n), lots.Word(p.next))
		written, err := d.lots.CreateLot(ctx, &pb.CreateLotRequest{Parent: p.shop, Lot: &pb.Lot{
			Tag: fmt.Sprintf("F %d", n), Kind: pb.Kind_KIND_TOOLS, Title: "Composing stick " + word}})
		if err != nil {
			return nil, err
		}
		change, polls := uint64(0), 0
		if n%2 == 0 {
			change = written.GetChange()
		}
		start := time.Now()
		for found := 0; found == 0; polls++ {
			if polls > 0 && change > 0 {
				return nil, fmt.Errorf("%s was not found by a search for change %d", word, change)
			}
			got, err := d.search.SearchLots(ctx, &pb.SearchLotsRequest{Filter: &pb.LotFilter{Words: word}, AtLeastChange: change})
			if err != nil {
				return nil, err
			}
			found = len(got.GetHits())
		}
		if change > 0 {
			asked = append(asked, time.Since(start))
			continue
		}
		unasked, f.polls = append(unasked, time.Since(start)), max(f.polls, polls)
	}
	p.left = nil
	f.asked, f.unasked = figuresOf(asked), figuresOf(unasked)
	return f, nil
}
