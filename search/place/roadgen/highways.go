package main

import (
	_ "embed"
	"errors"
	"fmt"
	"strings"
)

//go:embed highways.txt
var highwaysText string

// highway is a stretch of a great road between two towns it passes.
type highway struct{ from, to town }

// readHighways reads the table and finds its towns.
func readHighways(text string) ([]highway, error) {
	var all []highway
	err := readLines("highways.txt", text, func(_ int, s string) error {
		stretches, err := parseHighway(s)
		all = append(all, stretches...)
		return err
	})
	return all, err
}

// longestStretch is how far apart two towns that follow one another may be, in
// kilometres: further is a slip, or a namesake.
const longestStretch = 300

func parseHighway(s string) (all []highway, err error) {
	parts := strings.Split(s, ";")
	var errs []error
	var last town
	var lastName string
	for _, part := range parts[1:] {
		region, names, _ := strings.Cut(strings.TrimSpace(part), " ")
		region = strings.ReplaceAll(region, "_", " ")
		for name := range strings.SplitSeq(names, ",") {
			name = strings.ReplaceAll(strings.TrimSpace(name), "/", ", ") + ", " + region
			t, err := findTown(name)
			if err != nil {
				errs = append(errs, fmt.Errorf("%s: %w", parts[0], err))
				continue
			}
			if lastName != "" && t.at != last.at {
				if km := kmBetween(last.at, t.at); km > longestStretch {
					errs = append(errs, fmt.Errorf("%s: from %s to %s is %.0f km", parts[0], lastName, name, km))
				}
				all = append(all, highway{last, t})
			}
			last, lastName = t, name
		}
	}
	return all, errors.Join(errs...)
}
