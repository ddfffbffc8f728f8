package client

import (
	"cmp"
	"slices"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/score"
)

// Offer is one shop against a whole wanted list.
type Offer struct {
	// Shop is the resource name of the shop.
	Shop string
	// Cover is how far its lots meet the list.
	Cover score.Cover
}

// Offers are the shops behind the fits of a list, each held against the whole of
// it, the one that meets it best first.
func Offers(list *pb.WantedList, fits []Fitted) []Offer {
	hits := map[string][]score.Ranked{}
	for _, f := range fits {
		shop := search.ShopOf(f.Lot.GetName())
		hits[shop] = append(hits[shop], f.Ranked)
	}
	var offers []Offer
	for shop, its := range hits {
		offers = append(offers, Offer{Shop: shop, Cover: score.Covers(list, its)})
	}
	slices.SortFunc(offers, func(a, b Offer) int {
		return cmp.Or(cmp.Compare(b.Cover.Score, a.Cover.Score), cmp.Compare(a.Shop, b.Shop))
	})
	return offers
}
