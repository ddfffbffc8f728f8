package topojson

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

// Two squares side by side share arc 0, which the second runs backwards.
const squares = `{
	"transform": {"scale": [0.5, 0.5], "translate": [10, 20]},
	"objects": {"squares": {"type": "GeometryCollection", "geometries": [
		{"type": "Polygon", "id": "west", "arcs": [[0, 1]]},
		{"type": "MultiPolygon", "id": "east", "arcs": [[[-1, 2]]]},
		{"type": "Point", "id": "none"}]},
		"broken": {"type": "Polygon", "arcs": [["a"]]}},
	"arcs": [[[2, 0], [0, 2]], [[2, 2], [-2, 0], [0, -2], [2, 0]], [[2, 0], [2, 0], [0, 2], [-2, 0]]]}`

func read(t *testing.T, text string) (*Topology, error) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "outlines.json")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return Read(path)
}

func TestOutlines(t *testing.T) {
	top, err := read(t, squares)
	if err != nil {
		t.Fatal(err)
	}
	west := Line{{11, 20}, {11, 21}, {10, 21}, {10, 20}, {11, 20}}
	east := Line{{11, 21}, {11, 20}, {12, 20}, {12, 21}, {11, 21}}
	for id, want := range map[string][]Line{"": {west, east}, "west": {west}, "east": {east}, "none": nil} {
		if got, err := top.Rings("squares", id); err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("the rings of %q are %v, %v; want %v", id, got, err, want)
		}
	}
	if got, err := top.Borders("squares"); err != nil || !reflect.DeepEqual(got, []Line{{{11, 20}, {11, 21}}}) {
		t.Errorf("the borders are %v, %v", got, err)
	}
}

func TestErrors(t *testing.T) {
	top, err := read(t, squares)
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range [][3]string{
		{"circles", "", `no object "circles"`}, {"squares", "south", `no south in the object "squares"`}, {"broken", "", "cannot unmarshal"},
	} {
		if _, err := top.Rings(test[0], test[1]); err == nil || !strings.Contains(err.Error(), test[2]) {
			t.Errorf("%s %s: %v, want %q in it", test[0], test[1], err, test[2])
		}
	}
	if _, err := top.Borders("circles"); err == nil {
		t.Error("borders of no object")
	}
	if _, err := read(t, "{"); err == nil || !strings.Contains(err.Error(), "outlines.json: ") {
		t.Errorf("no JSON: %v", err)
	}
}
