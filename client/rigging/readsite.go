package rigging

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"go.yaml.in/yaml/v3"
)

// maxSiteBytes is the largest site file that is read.
const maxSiteBytes = 1 << 20

// SiteError is everything that is wrong with a site file.
type SiteError struct {
	// Name is the file's.
	Name string
	// Problems are in the order of the file; at least one.
	Problems []SiteProblem
}

// SiteProblem is one thing that is wrong, and what would be right.
type SiteProblem struct {
	// Line is where, from 1; 0 is the file as a whole.
	Line int
	// Key is the key by its path: "to.doors". Empty: the file as a whole.
	Key string
	// Message says what is wrong and what would be right.
	Message string
}

// Error lists the problems, one a line.
func (e *SiteError) Error() string {
	var lines []string
	for _, p := range e.Problems {
		at := e.Name
		if p.Line > 0 {
			at += fmt.Sprintf(", line %d", p.Line)
		}
		if p.Key != "" {
			at += ", " + p.Key
		}
		lines = append(lines, at+": "+p.Message)
	}
	return strings.Join(lines, "\n")
}

// ReadSite reads a SITE.yaml. Measures are as people write them: "34x84 in",
// "3,000 lb", "1:12". All keys are optional:
//
//	from: and to:   doors: ["alley door 62x84 in", 34 in, hall door nominal 36 in]
//	                steps_up: 2, steps_down: 0
//	                turns: [landing 48 in]
//	                floor: slab or wood; level: ground, basement or upper
//	                town: Dayton, OH, if it is not the lots' own
//	                use: office (or another use of a design load); rated: 125 psf
//	                ramp: 1:12; elevator: 2,000 lb
//	vehicle:        kind: pickup, van, truck or trailer; payload: 5,000 lb
//	                deck: 16x7 ft; wheelbase: 14 ft; axle: 10 ft; headerboard: yes
//	                tiedowns: [4 x 2 in webbing, "2 x 2 in strap WLL 3,335 lb"]
//	kit:            people, dolly, pallet_jack, hoist, liftgate, forklift
//	experienced:    yes
//
// A file that cannot be read gives the reader's error; one that is not right a
// *SiteError with every problem in it, unknown keys among them.
func ReadSite(name string, r io.Reader) (*Site, error) {
	raw, err := io.ReadAll(io.LimitReader(r, maxSiteBytes+1))
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", filepath.Base(name), err)
	}
	site := &Site{}
	if ps := site.read(raw); len(ps) > 0 {
		return nil, &SiteError{Name: filepath.Base(name), Problems: ps}
	}
	return site, nil
}

func (s *Site) read(raw []byte) []SiteProblem {
	if len(raw) > maxSiteBytes {
		return []SiteProblem{{Message: "is larger than 1 MiB: a site is a page at most"}}
	}
	top, problem := oneDocument(raw)
	if problem != nil {
		return []SiteProblem{*problem}
	}
	if top == nil {
		return nil
	}
	return readKeys(s, top, "", siteKeys)
}

// oneDocument parses a file that is one YAML document without aliases. A file
// with nothing in it has none.
func oneDocument(raw []byte) (*yaml.Node, *SiteProblem) {
	dec := yaml.NewDecoder(strings.NewReader(string(raw)))
	var doc, more yaml.Node
	switch err := dec.Decode(&doc); {
	case errors.Is(err, io.EOF):
		return nil, nil
	case err != nil:
		return nil, notYAML(err)
	}
	if err := dec.Decode(&more); !errors.Is(err, io.EOF) {
		if err != nil {
			return nil, notYAML(err)
		}
		return nil, &SiteProblem{Line: more.Line, Message: "a second document begins here: keep one to a file"}
	}
	if at := aliasIn(&doc); at != nil {
		return nil, &SiteProblem{Line: at.Line, Message: "an alias cannot be used here: write the value out"}
	}
	return doc.Content[0], nil
}

func notYAML(err error) *SiteProblem {
	return &SiteProblem{Message: "is not YAML: " + strings.TrimPrefix(err.Error(), "yaml: ")}
}

func aliasIn(n *yaml.Node) *yaml.Node {
	if n.Kind == yaml.AliasNode {
		return n
	}
	for _, c := range n.Content {
		if at := aliasIn(c); at != nil {
			return at
		}
	}
	return nil
}

// key is a key of a site file and how its value is read into a T.
type key[T any] struct {
	name string
	read func(to *T, at string, n *yaml.Node) []SiteProblem
}

// readKeys reads a mapping. Every problem in it is reported.
func readKeys[T any](to *T, n *yaml.Node, path string, keys []key[T]) []SiteProblem {
	if n.Kind == yaml.ScalarNode && n.Tag == "!!null" {
		return nil
	}
	if n.Kind != yaml.MappingNode {
		return []SiteProblem{{n.Line, path, "write keys with values here: " + names(keys)}}
	}
	var ps []SiteProblem
	seen := map[string]bool{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		at := strings.TrimPrefix(path+"."+k.Value, ".")
		switch read := find(keys, k.Value); {
		case seen[k.Value]:
			ps = append(ps, SiteProblem{k.Line, at, "is here twice: keep one"})
		case read == nil:
			ps = append(ps, SiteProblem{k.Line, at, "is not a key here: " + hint(k.Value, names(keys))})
		case v.Kind == yaml.ScalarNode && v.Tag == "!!null":
		default:
			ps = append(ps, read(to, at, v)...)
		}
		seen[k.Value] = true
	}
	return ps
}

func find[T any](keys []key[T], name string) func(*T, string, *yaml.Node) []SiteProblem {
	for _, k := range keys {
		if k.name == name {
			return k.read
		}
	}
	return nil
}

func names[T any](keys []key[T]) string {
	var all []string
	for _, k := range keys {
		all = append(all, k.name)
	}
	return strings.Join(all, ", ")
}

// belongs says where a key of another block belongs.
var belongs = map[string]string{
	"payload": "it belongs under vehicle", "deck": "it belongs under vehicle", "tiedowns": "it belongs under vehicle",
	"liftgate": "it belongs under kit", "people": "it belongs under kit",
	"door": "list doors under from or to, as doors: [34 in]", "doors": "it belongs under from or to",
	"steps": "say steps_up or steps_down, under from or to",
	"floor": "it belongs under from or to", "turns": "it belongs under from or to", "ramp": "it belongs under from or to",
}

func hint(name, all string) string {
	if where := belongs[name]; where != "" {
		return where
	}
	return "the keys here are " + all
}
