package main

import "slices"

// box is a part of the world in degrees.
type box struct{ south, west, north, east float64 }

func (b box) holds(t town) bool {
	return t.lat >= b.south && t.lat <= b.north && t.lng >= b.west && t.lng <= b.east
}

// roadlands are where neighbouring towns are not to be taken for joined: only
// the roads in the table of links are there.
var roadlands = []box{
	{51, -180, 72, -141},       // Alaska
	{54.5, -141, 60.2, -129.9}, // its south-east
	{60, -141, 84, -60},        // Yukon to Nunavut
	{58.6, -130, 60, -120},     // British Columbia, the north
	{57, -110, 60, -94},        // Saskatchewan and Manitoba, the north
	{55, -100, 57, -79},        // Manitoba, the north-east, and Hudson Bay
	{51.4, -96.5, 55, -79},     // Ontario, the north
	{50.6, -80, 63, -57.4},     // Quebec, the north, and Labrador
	{59.5, -74, 84, -26},       // Greenland
	{69, -26, 84, -10},         // Greenland, the east
	{74, 0, 82, 40},            // Svalbard
	{64, 67, 80, 180},          // Siberia
	{-9, -75.5, -2, -64},       // the upper Amazon
}

// wilds are the roadlands less what is about the towns on their roads.
type wilds struct{ onRoads *near }

// roadsideKm is how near to a town on a road in the wilds its neighbours must be
// to be taken for joined to it.
const roadsideKm = 30

func newWilds(links []link) *wilds {
	w := &wilds{newNear()}
	for _, l := range links {
		w.onRoads.add(l.from.at)
		w.onRoads.add(l.to.at)
	}
	return w
}

func (w *wilds) roadless(t town) bool {
	if !slices.ContainsFunc(roadlands, func(b box) bool { return b.holds(t) }) {
		return false
	}
	alone := true
	w.onRoads.within(t.at, roadsideKm, func(int) { alone = false })
	return alone
}

// position is a point in degrees.
type position struct{ lng, lat float64 }

// bars are lines, in degrees, that no road crosses save those in the table of
// links.
var bars = [][]position{
	{{-77.3, 9}, {-77.3, 8}, {-78, 7}}, // the Darién
	{{-121.2, 49.4}, {-121.1, 48.5}, {-121.0, 47.7}, {-121.5, 46.9}, {-121.7, 45.4}, {-121.9, 44.0}, {-122.2, 42.9}}, // the Cascades
	{{-121.1, 47.7}, {-120.3, 47.2}}, // the Wenatchee Mountains
	{{-120.3, 39.4}, {-119.9, 38.6}, {-119.2, 37.7}, {-118.5, 36.8}, {-118.2, 35.9}}, // the Sierra Nevada
	{{-115.7, 47.5}, {-114.6, 46.6}, {-114.2, 45.5}},                                 // the Bitterroots
	{{-107.9, 44.9}, {-107.2, 44.2}, {-107.0, 43.6}},                                 // the Bighorns
	{{-106.4, 40.6}, {-105.7, 40.1}, {-105.9, 39.5}, {-106.4, 38.9}, {-106.4, 38.5}}, // the divide in Colorado
	{{-105.9, 38.4}, {-105.5, 37.7}, {-105.1, 37.0}, {-105.5, 36.0}},                 // the Sangre de Cristo
	{{-1.5, 43.1}, {-0.3, 42.8}, {0.7, 42.7}, {1.7, 42.6}, {2.7, 42.4}},              // the Pyrenees
	{{7.4, 44.1}, {6.9, 44.6}, {7.0, 45.3}, {6.9, 45.8}, {7.9, 45.95}, {8.4, 46.5}, {9.4, 46.5}, {10.0, 46.4}, {10.5, 46.8}, {11.5, 47.0}, {12.7, 47.1}, {13.6, 47.1}}, // the Alps
	{{10.2, 47.4}, {10.7, 47.5}, {11.2, 47.45}, {11.7, 47.55}, {12.1, 47.63}, {12.7, 47.62}},                                                                           // the northern Alps
	{{32.3, 31.5}, {32.5, 30}, {34, 27.5}},        // Suez: no ways into Africa are offered
	{{126.5, 37.7}, {127.2, 38.3}, {128.5, 38.7}}, // Korea
}

func barred(a, b town) bool {
	for _, line := range bars {
		for i := range line[1:] {
			if crosses(position{a.lng, a.lat}, position{b.lng, b.lat}, line[i], line[i+1]) {
				return true
			}
		}
	}
	return false
}

// crosses tells whether two short lines cross.
func crosses(a, b, c, d position) bool {
	side := func(p, q, r position) float64 {
		return (q.lng-p.lng)*(r.lat-p.lat) - (q.lat-p.lat)*(r.lng-p.lng)
	}
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}
