package pages

import (
	"bytes"
	"html/template"
	"net/http"

	"heirpress/client/rigging"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// briefPage is the moving brief of a lot, and the form for where it goes.
type briefPage struct {
	*pb.Lot
	To, Wrong string
	Brief     template.HTML
}

// movingBrief is the moving brief of one lot, with the way to a town if one is named.
func (s *site) movingBrief(v *visit) error {
	l, err := s.lotAsked(v)
	if err != nil {
		return err
	}
	page, site, code := briefPage{Lot: l, To: v.r.URL.Query().Get("to")}, new(rigging.Site), http.StatusOK
	if page.To != "" {
		home, err := place.Find(page.To)
		if err != nil {
			page.Wrong, code = sentence(err.Error()), http.StatusBadRequest
		} else {
			site.To.Town = &home
		}
	}
	var part bytes.Buffer
	heading, err := rigging.HTMLPart(&part, rigging.Plan([]*pb.Lot{l}, site), trade.US)
	if err != nil {
		return err
	}
	page.Brief = template.HTML(part.Bytes()) // #nosec G203 -- html/template has written it
	s.show(v, code, "brief", view{Title: heading, Here: "find", Body: page})
	return nil
}
