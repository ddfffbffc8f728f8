// Package check reads the tables of road distances by which the estimates of
// package place are fitted and judged. They lie in testdata/place, each with its
// source and its known faults in the README there.
package check

import (
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"

	"heirpress/search/place"
)

// Pair is two towns and the published distance between them by road.
type Pair struct {
	// Table is the name of the table, without its ending.
	Table    string
	From, To string
	A, B     place.Point
	Km       float64
}

// Read reads all the tables in a folder. What a table's README calls a fault is
// left out.
func Read(dir string) ([]Pair, error) {
	r := reader{dir: dir, towns: map[string]place.Point{}}
	for _, p := range r.coordinates("eurodist") {
		r.add(p)
	}
	r.names("roads")
	r.names("turkey")
	r.triangle("knuth_miles")
	return r.pairs, errors.Join(r.errs...)
}

// Coordinates reads one table that says where its towns are, faults and all.
func Coordinates(dir, table string) ([]Pair, error) {
	r := reader{dir: dir}
	return r.coordinates(table), errors.Join(r.errs...)
}

type reader struct {
	dir   string
	towns map[string]place.Point
	pairs []Pair
	errs  []error
}

func (r *reader) fail(table string, err error) {
	if err != nil {
		r.errs = append(r.errs, fmt.Errorf("%s: %w", table, err))
	}
}

// add keeps a pair, unless its distance cannot be right: shorter than the great
// circle, or the table is known to be wrong about it.
func (r *reader) add(p Pair) {
	straight := place.GreatCircleKm(p.A, p.B)
	if p.Km < straight || straight < 5 || isFault(p, straight) {
		return
	}
	r.pairs = append(r.pairs, p)
}

// old are towns whose distances in the table of 1949 are those of before a great
// bridge: over the Chesapeake Bay (1952), and at Mackinac (1957).
var old = map[string]bool{"Salisbury, MD": true, "Sault Sainte Marie, MI": true}

func isFault(p Pair, straight float64) bool {
	switch p.Table {
	case "eurodist":
		return p.Km > 2.5*straight
	case "knuth_miles":
		return old[p.From] || old[p.To]
	}
	return false
}

func (r *reader) rows(table string) [][]string {
	f, err := os.Open(filepath.Join(r.dir, table+".csv"))
	if err != nil {
		r.fail(table, err)
		return nil
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	r.fail(table, err)
	if len(rows) == 0 {
		return nil
	}
	return rows[1:]
}

// coordinates reads a table that says where its towns are.
func (r *reader) coordinates(table string) (pairs []Pair) {
	for _, row := range r.rows(table) {
		var n [5]float64
		for i := range n {
			n[i] = r.number(table, row[2+i])
		}
		pairs = append(pairs, Pair{table, row[0], row[1], place.Point{Lat: n[0], Lng: n[1]}, place.Point{Lat: n[2], Lng: n[3]}, n[4]})
	}
	return pairs
}

// names reads a table whose towns are in the gazetteer.
func (r *reader) names(table string) {
	for _, row := range r.rows(table) {
		r.add(Pair{table, row[0], row[1], r.town(table, row[0]), r.town(table, row[1]), r.number(table, row[2])})
	}
}

func (r *reader) number(table, text string) float64 {
	n, err := strconv.ParseFloat(text, 64)
	r.fail(table, err)
	return n
}

// town looks a town up, once.
func (r *reader) town(table, name string) place.Point {
	p, ok := r.towns[name]
	if !ok {
		t, err := place.Find(name)
		r.fail(table, err)
		p = t.Point
		r.towns[name] = p
	}
	return p
}
