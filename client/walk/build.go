package walk

import (
	"heirpress/client/sheet"
	pb "heirpress/proto/heirpress/v1"
)

// noTitle stands for the title of a lot until it has one: a sheet reads no lot
// without.
const noTitle = "no title yet"

// lot makes a lot of what was said of it so far.
func (s *state) lot(n int) (*pb.Lot, error) {
	lot := &pb.Lot{Title: noTitle}
	for _, ans := range s.answers[s.begin(n):] {
		if ans.lot != n || ans.text == "" || ans.key == keyMore || ans.key == keyWhere {
			continue
		}
		next, err := sheet.SetLot(lot, ans.key, ans.text, s.opts...)
		if err != nil {
			return nil, err
		}
		lot = next
	}
	where, _ := s.said(at{n, keyWhere})
	if where == "" {
		return lot, nil
	}
	text := "It stands: " + where + "."
	if lot.Description != "" {
		text += "\n" + lot.Description
	}
	return sheet.SetLot(lot, "description", text, s.opts...)
}

// begin is where the answers about a lot begin.
func (s *state) begin(n int) int {
	i := len(s.answers)
	for i > 0 && s.answers[i-1].lot >= n {
		i--
	}
	return i
}

// walked makes the shop and all lots, those of the sheet before first. A lot
// that got no title is left out.
func (s *state) walked() (*pb.Shop, []*pb.Lot, error) {
	shop, err := s.walkedShop()
	if err != nil {
		return nil, nil, err
	}
	lots := append([]*pb.Lot(nil), s.lots...)
	for n := 1; n <= s.last(); n++ {
		if title, _ := s.said(at{n, "title"}); title == "" {
			continue
		}
		l, err := s.lot(n)
		if err != nil {
			return nil, nil, err
		}
		lots = append(lots, l)
	}
	return shop, lots, nil
}

func (s *state) walkedShop() (*pb.Shop, error) {
	if s.shop != nil {
		return s.shop, nil
	}
	shop := &pb.Shop{}
	for _, ans := range s.answers {
		if ans.lot > 0 || ans.text == "" {
			continue
		}
		next, err := sheet.SetShop(shop, ans.key, ans.text)
		if err != nil {
			return nil, err
		}
		shop = next
	}
	return shop, nil
}

// titled is how many lots of this walk have a title.
func (s *state) titled() int {
	n := 0
	for _, ans := range s.answers {
		if ans.lot > 0 && ans.key == "title" && ans.text != "" {
			n++
		}
	}
	return n
}
