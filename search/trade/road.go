package trade

var roadKm = map[string]float64{
	"": KmPerMile, "mi": KmPerMile, "mile": KmPerMile, "miles": KmPerMile, "m": 0,
	"km": 1, "kms": 1, "kilometre": 1, "kilometres": 1, "kilometer": 1, "kilometers": 1,
}

// farthestKm is the contract's limit for a way by road.
const farthestKm = 25_000

// ParseRoadKm reads a distance by road and returns kilometres: "300mi",
// "300 miles", "480 km"; a bare number is in miles. "m" is refused: it could be
// miles or metres. The error is a *ParseError.
func ParseRoadKm(text string) (km float64, err error) {
	s := scan{plain(text)}
	n, ok := s.number()
	per := roadKm[s.word()]
	if !ok || per == 0 || !s.done() {
		return 0, misread(text, "a distance by road", "write it as 300 mi or 480 km")
	}
	km = tidy(n * per)
	if km <= 0 || km > farthestKm {
		return 0, misread(text, "a distance by road", "it must be more than 0 and at most 25,000 km")
	}
	return km, nil
}

// FormatRoad shows a distance by road in whole miles or kilometres, and below
// 10 of them with one decimal.
func FormatRoad(km float64, u Units) string {
	v, unit := km/KmPerMile, " mi"
	if u == Metric {
		v, unit = km, " km"
	}
	if v < 10 {
		return trimmed(v, 1) + unit
	}
	return grouped(v, 0) + unit
}
