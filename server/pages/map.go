package pages

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"math"
	"net/http"
	"strings"

	"google.golang.org/grpc/codes"

	"heirpress/client/chart"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// mostOnMap is how many lots a map shows, the best or nearest.
const mostOnMap = 200

// mapPage is a map, and in words what is on it.
type mapPage struct {
	Found, Picture, Alt, Back string
	Towns                     []townLots
}

// townLots are the lots in one town.
type townLots struct {
	Town string
	Lots []choice
}

// mappedLots are the lots that a map of a question shows.
func (s *site) mappedLots(v *visit, q question) (*pb.SearchLotsResponse, error) {
	req, wrong := q.request()
	for _, why := range wrong {
		return nil, &refusal{http.StatusBadRequest, words[codes.InvalidArgument].title, why}
	}
	req.PageSize, req.PageToken = mostOnMap, ""
	ctx, cancel := v.calling()
	defer cancel()
	return s.search.SearchLots(ctx, req)
}

func (s *site) mapOf(v *visit) error {
	q := questionOf(v.r.URL.Query())
	got, err := s.mappedLots(v, q)
	if err != nil {
		return err
	}
	page := mapPage{Found: found(got), Back: q.link("/find"), Towns: byTown(got.GetHits())}
	if len(page.Towns) > 0 {
		page.Picture = q.link("/map.svg")
		page.Alt = fmt.Sprintf("Map of %s in %s; the list beneath says the same in words.",
			trade.FormatCount(len(got.GetHits()), "lot"), trade.FormatCount(len(page.Towns), "town"))
	}
	if more := int(got.GetTotalSize()) - len(got.GetHits()); more > 0 {
		page.Found += fmt.Sprintf(" The map shows the first %d.", len(got.GetHits()))
	}
	s.show(v, http.StatusOK, "map", view{Title: "Where they are", Here: "find", Body: page})
	return nil
}

// byTown gathers lots by their towns, in the order of the first of each.
func byTown(hits []*pb.SearchHit) (all []townLots) {
	at := map[string]int{}
	for _, h := range hits {
		l := h.GetLot()
		label := l.GetTown().GetLabel()
		if l.GetTown().GetPoint() == nil {
			continue
		}
		i, seen := at[label]
		if !seen {
			i = len(all)
			at[label], all = i, append(all, townLots{Town: label})
		}
		all[i].Lots = append(all[i].Lots, choice{l.GetTitle(), "/" + l.GetName()})
	}
	return all
}

func (s *site) mapPicture(v *visit) error {
	got, err := s.mappedLots(v, questionOf(v.r.URL.Query()))
	if err != nil {
		return err
	}
	var picture bytes.Buffer
	err = chart.SVG(&picture, drawn(got))
	if errors.Is(err, chart.ErrEmpty) {
		return errNothing
	}
	if err != nil {
		return err
	}
	v.w.Header().Set("Content-Type", "image/svg+xml")
	v.w.Header().Set("Content-Security-Policy", picturePolicy(picture.String()))
	v.pack(picture.Bytes())
	return nil
}

// pack answers with what is public, in little where the browser can unpack it. Pages
// are not packed: some hold both what was typed and what is secret, and the length of
// the two packed together tells of the secret.
func (v *visit) pack(body []byte) {
	v.w.Header().Set("Vary", "Accept-Encoding")
	if !takesGzip(v.r.Header.Get("Accept-Encoding")) {
		v.w.Write(body) //nolint:errcheck // whoever asked has gone
		return
	}
	v.w.Header().Set("Content-Encoding", "gzip")
	packed := gzip.NewWriter(v.w)
	packed.Write(body) //nolint:errcheck // whoever asked has gone
	packed.Close()     //nolint:errcheck // the same
}

// takesGzip tells whether gzip is among the encodings that a browser takes (RFC 9110,
// 12.5.3).
func takesGzip(accepted string) bool {
	for one := range strings.SplitSeq(accepted, ",") {
		name, quality, _ := strings.Cut(strings.ToLower(one), ";")
		if q := strings.TrimSpace(quality); strings.TrimSpace(name) == "gzip" && q != "q=0" && !strings.HasPrefix(q, "q=0.0") {
			return true
		}
	}
	return false
}

// picturePolicy lets a drawing have the style that is in it, and nothing else.
func picturePolicy(svg string) string {
	_, rest, _ := strings.Cut(svg, "<style>")
	within, _, _ := strings.Cut(rest, "</style>")
	sum := sha256.Sum256([]byte(within))
	return fmt.Sprintf("default-src 'none'; style-src 'sha256-%s'; form-action 'none'; frame-ancestors 'none'; base-uri 'none'", base64.StdEncoding.EncodeToString(sum[:]))
}

// drawn is the map of lots that were found.
func drawn(got *pb.SearchLotsResponse) chart.Map {
	m := chart.Map{Title: found(got)}
	for _, h := range got.GetHits() {
		if l := h.GetLot(); l.GetTown().GetPoint() != nil {
			m.Marks = append(m.Marks, chart.Mark{Town: townOf(l.GetTown()), Text: l.GetTitle() + ", tag " + l.GetTag(), Fit: -1})
		}
	}
	town := got.GetNearTown()
	if town.GetPoint() == nil {
		return m
	}
	origin := townOf(town)
	roads := place.From(origin.Point)
	m.Origin, m.RoadKm = &origin, func(p place.Point) float64 {
		if road := roads.Road(p); !road.None {
			return road.Km
		}
		return math.Inf(1)
	}
	m.Rings = []float64{100, 250, 500}
	if km := got.GetSearched().GetNear().GetWithinRoadKm(); km > 0 {
		m.Rings = []float64{km / place.KmPerMile / 2, km / place.KmPerMile}
	}
	return m
}

func townOf(t *pb.Town) chart.Town {
	return chart.Town{Name: t.GetName(), Label: t.GetLabel(), Point: place.Point{Lat: t.GetPoint().GetLatitude(), Lng: t.GetPoint().GetLongitude()}}
}
