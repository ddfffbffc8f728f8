package rigging

import (
	"fmt"

	"heirpress/search/trade"
)

// way says how far it is and how long it takes, from each town.
func (r report) way() section {
	s := section{ID: "road", Heading: "On the road"}
	if len(r.b.Ways) == 0 {
		return s
	}
	for _, w := range r.b.Ways {
		s.Blocks = append(s.Blocks, block{Text: r.wayWords(w)})
		var lines []string
		for _, line := range w.journey.Lines(r.road) {
			lines = append(lines, capital(line)+".")
		}
		if lines != nil {
			s.Blocks = append(s.Blocks, block{List: lines})
		}
	}
	s.Blocks = append(s.Blocks, block{Text: "Hours are without stops, weather and traffic, and each trip goes there and back. Low bridges, weight limits and the hours that bind this driver are to be asked: the limits named are those of heavy vehicles in trade, and their longer periods are not reckoned with."})
	return s
}

func (r report) wayWords(w Way) string {
	text := fmt.Sprintf("From %s to %s: ", w.From, w.To)
	switch {
	case w.From == w.To:
		return text + "in the same town."
	case w.NoRoad:
		return text + "no road leads there, not even with a car ferry. Ask a carrier."
	case w.Routed:
		return text + r.road(w.Km) + " by road, by the registry's routing service."
	}
	return fmt.Sprintf("%sabout %s by road (estimated %s to %s).", text, r.road(w.Km), r.road(w.LowKm), r.road(w.HighKm))
}

func (r report) road(km float64) string { return trade.FormatRoad(km, r.u) }
