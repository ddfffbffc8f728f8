package main

import (
	"fmt"
	"strings"

	"heirpress/search/place/internal/gaz"
)

// lacking is written by hand: towns of Canada that GeoNames's lists have not,
// since they belong to wider municipalities or have few people, though they are
// on every road map. Each line is a province, a name, and a position to a
// hundredth of a degree, from memory. Their population is left as not known.
const lacking = `
ON Almonte 45.23 -76.19
ON Arthur 43.83 -80.53
ON Barry's Bay 45.49 -77.68
ON Beamsville 43.17 -79.48
ON Blenheim 42.34 -82.00
ON Bradford 44.11 -79.56
ON Brighton 44.04 -77.74
ON Caledonia 43.07 -79.95
ON Cannington 44.35 -79.04
ON Cardinal 44.79 -75.38
ON Cayuga 42.95 -79.85
ON Chesley 44.30 -81.10
ON Chesterville 45.10 -75.23
ON Colborne 44.01 -77.89
ON Creemore 44.33 -80.10
ON Drayton 43.76 -80.67
ON Dresden 42.59 -82.18
ON Durham 44.18 -80.82
ON Dutton 42.66 -81.50
ON Frankford 44.20 -77.60
ON Gore Bay 45.92 -82.46
ON Grand Valley 43.90 -80.31
ON Hagersville 42.96 -80.05
ON Hastings 44.31 -77.96
ON Havelock 44.43 -77.88
ON Hillsburgh 43.79 -80.14
ON Iroquois 44.85 -75.32
ON Kemptville 45.02 -75.64
ON Milverton 43.57 -80.92
ON Mitchell 43.47 -81.20
ON Nobleton 43.90 -79.65
ON Norwich 42.99 -80.60
ON Orono 43.98 -78.62
ON Palmerston 43.83 -80.85
ON Pickle Lake 51.47 -90.19
ON Port Dover 42.79 -80.20
ON Rainy River 48.72 -94.57
ON Rockland 45.55 -75.29
ON Rodney 42.57 -81.68
ON Schomberg 44.00 -79.68
ON Sioux Narrows 49.42 -94.09
ON Smithville 43.10 -79.55
ON Southampton 44.50 -81.37
ON Stayner 44.42 -80.09
ON Sundridge 45.77 -79.39
ON Sutton 44.31 -79.36
ON Teeswater 43.99 -81.29
ON Thornbury 44.57 -80.45
ON Vankleek Hill 45.52 -74.65
ON Wellington 43.95 -77.35
ON Westport 44.68 -76.40
ON Wheatley 42.10 -82.45
ON White River 48.59 -85.28
ON Deep River 46.10 -77.49
QC Baie-Trinité 49.42 -67.30
QC Blanc-Sablon 51.42 -57.13
QC Chibougamau 49.91 -74.37
QC Clermont 47.69 -70.23
QC Dolbeau 48.88 -72.23
QC Hébertville 48.40 -71.68
QC L'Annonciation 46.41 -74.87
QC Lac-Etchemin 46.40 -70.50
QC Laurier-Station 46.54 -71.63
QC Price 48.61 -68.12
QC Rivière-au-Renard 49.00 -64.39
QC Saint-Jovite 46.12 -74.59
QC Saint-Prosper 46.21 -70.48
QC Sainte-Justine 46.40 -70.35
AB Consort 52.01 -110.78
AB Coronation 52.09 -111.45
AB Crowsnest Pass 49.63 -114.44
AB McLennan 55.71 -116.91
AB Milk River 49.15 -112.08
AB Oyen 51.35 -110.47
AB Redwater 53.95 -113.11
AB Vilna 54.12 -111.92
BC Boston Bar 49.87 -121.44
BC Fraser Lake 54.06 -124.85
BC Hudson's Hope 56.03 -121.91
BC Lytton 50.23 -121.58
BC McBride 53.30 -120.17
BC Port Renfrew 48.55 -124.42
SK Beauval 55.15 -107.61
SK Big River 53.84 -107.03
SK Ile-a-la-Crosse 55.45 -107.89
SK La Loche 56.48 -109.43
SK Leader 50.89 -109.54
SK Lloydminster 53.28 -110.00
SK Raymore 51.41 -104.53
SK Spiritwood 53.36 -107.52
SK Wolseley 50.42 -103.27
MB Ashern 51.18 -98.35
MB Emerson 49.01 -97.21
MB Gladstone 50.23 -98.95
MB Leaf Rapids 56.47 -99.99
MB Pinawa 50.15 -95.88
MB Russell 50.78 -101.29
MB Sainte Rose du Lac 51.06 -99.52
MB Stony Mountain 50.09 -97.22
MB Winnipegosis 51.65 -99.92
NB Doaktown 46.56 -66.12
NB McAdam 45.59 -67.33
NB Richibucto 46.68 -64.88
NS Baddeck 46.10 -60.75
NS Bridgetown 44.84 -65.29
NS Canso 45.34 -61.00
NS Chéticamp 46.63 -61.01
NS Guysborough 45.39 -61.50
NS Sheet Harbour 44.92 -62.54
NS Sherbrooke 45.14 -61.98
NL Arnold's Cove 47.76 -53.99
NL Badger 48.98 -56.04
NL Buchans 48.82 -56.86
NL Eastport 48.65 -53.75
NL Englee 50.72 -56.11
NL Port au Choix 50.71 -57.36
NL Rocky Harbour 49.59 -57.92
NL Trepassey 46.74 -53.36
NU Resolute 74.70 -94.83
`

// addLacking adds the towns of the table that are not there yet.
func (a *atlas) addLacking() error {
	const there = 15.0 // km
	for line := range strings.Lines(strings.TrimSpace(lacking)) {
		c, err := parseLacking(strings.Fields(line))
		if err != nil {
			return err
		}
		key := gaz.Key(c.name)
		called := func(e *entry) bool { return e.Country == "CA" && (e.key == key || e.Aliases[key]) }
		if a.grid.nearest(c.at, there, called) == nil {
			a.add(c.entry())
		}
	}
	return nil
}

func parseLacking(words []string) (city, error) {
	n := len(words) - 2
	c := city{country: "CA", name: strings.Join(words[1:n], " ")}
	var err error
	if c.at, err = parsePoint(words[n], words[n+1]); err != nil {
		return c, fmt.Errorf("gazgen: the position of %s: %w", c.name, err)
	}
	for code, province := range provinces {
		if province == words[0] {
			c.admin1 = code
			return c, nil
		}
	}
	return c, fmt.Errorf("gazgen: %s lies in %s, which is no province", c.name, words[0])
}
