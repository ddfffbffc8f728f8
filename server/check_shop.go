package server

import (
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// shopFields are the fields of a shop that a caller may set.
var shopFields = []string{"title", "story", "place", "access", "clear_by", "collection_name"}

// checkShop checks what a caller set and looks its town up.
func checkShop(s *pb.Shop) error {
	if s == nil {
		return invalid("shop", "is missing")
	}
	c := new(checker)
	c.required("shop.title", trade.FoldTitle(s.GetTitle()), 200)
	c.text("shop.story", s.GetStory(), 20_000)
	c.text("shop.access", s.GetAccess(), 5_000)
	c.text("shop.collection_name", s.GetCollectionName(), 200)
	c.date("shop.clear_by", s.GetClearBy())
	s.Town = c.town("shop.place", s.GetPlace())
	keepTownOnly(s)
	return c.err()
}

// checkedShop checks a shop, and leaves of where it is what this registry's callers
// may know: where there are accounts, no place of few people is named.
func (r *Registry) checkedShop(s *pb.Shop) error {
	if err := checkShop(s); err != nil || r.config.Accounts == NoAccounts {
		return err
	}
	var err error
	s.Town, s.Place, err = publicTown(s.GetPlace())
	return err
}

// keepTownOnly replaces coordinates by the town they were moved to, so that
// the point a keeper typed is kept nowhere.
func keepTownOnly(s *pb.Shop) {
	if s.GetTown() != nil && place.IsCoordinates(s.GetPlace()) {
		s.Place = s.GetTown().GetLabel()
	}
}
