package rehome

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"heirpress/search/trade"
)

// maxWishBytes is the largest wishes file that is read.
const maxWishBytes = 1 << 20

// FileError is everything that is wrong with a wishes file.
type FileError struct {
	// Name is the file's.
	Name string
	// Problems are in the order of the file, each with its line and key; at least one.
	Problems []string
}

// Error lists the problems, one a line.
func (e *FileError) Error() string {
	return e.Name + ": " + strings.Join(e.Problems, "\n"+e.Name+": ")
}

// ReadWishes reads a wishes file. All keys are optional:
//
//	whole: only, prefer or either      whole_points: 200
//	whole_offers: [{list: TITLE, trips: 3}]
//	together: [{lots: [C1, C2], must: yes}, {lots: [S-01, S-02], points: 30}]
//	prefer: [{list: TITLE, points: 20}]
//	seekers: [{list: TITLE, budget: $3,000, trips: 2}]
//	home_points: 50      least_fit: 20      hired_help: no
//
// Amounts that name no currency are in the one given. A file that is not right
// gives a *FileError with every problem in it.
func ReadWishes(name string, r io.Reader, currency string) (Wishes, error) {
	raw, err := io.ReadAll(io.LimitReader(r, maxWishBytes+1))
	if err != nil {
		return Wishes{}, fmt.Errorf("%s cannot be read: %w", filepath.Base(name), err)
	}
	f := &wishFile{currency: currency}
	f.read(raw)
	if len(f.problems) > 0 {
		return Wishes{}, &FileError{Name: filepath.Base(name), Problems: f.problems}
	}
	return f.wishes, nil
}

// wishFile is a file while it is read.
type wishFile struct {
	currency string
	wishes   Wishes
	problems []string
}

func (f *wishFile) wrong(n *yaml.Node, key, format string, args ...any) {
	at := fmt.Sprintf("line %d", n.Line)
	if key != "" {
		at += ", key " + key
	}
	f.problems = append(f.problems, at+": "+fmt.Sprintf(format, args...))
}

func (f *wishFile) read(raw []byte) {
	if len(raw) > maxWishBytes {
		f.problems = append(f.problems, "is larger than 1 MiB: wishes are a page at most")
		return
	}
	var doc yaml.Node
	switch err := yaml.Unmarshal(raw, &doc); {
	case err != nil:
		f.problems = append(f.problems, "is not YAML: "+strings.TrimPrefix(err.Error(), "yaml: "))
	case len(doc.Content) > 0:
		f.keys(doc.Content[0], map[string]func(*yaml.Node, string){
			"whole":        f.whole,
			"whole_points": func(n *yaml.Node, k string) { f.number(n, k, &f.wishes.WholePoints) },
			"whole_offers": func(n *yaml.Node, k string) { f.each(n, k, f.wholeOffer) },
			"together":     func(n *yaml.Node, k string) { f.each(n, k, f.together) },
			"prefer":       func(n *yaml.Node, k string) { f.each(n, k, f.prefer) },
			"seekers":      func(n *yaml.Node, k string) { f.each(n, k, f.seeker) },
			"home_points":  f.homePoints,
			"least_fit":    f.leastFit,
			"hired_help":   f.hiredHelp,
		})
	}
	if f.wishes.Whole == WholePreferred && f.wishes.WholePoints == 0 {
		f.wishes.WholePoints = usualWhole
	}
}

// keys reads a mapping, each key with its own reader.
func (f *wishFile) keys(n *yaml.Node, readers map[string]func(*yaml.Node, string)) {
	if n.Kind == yaml.ScalarNode && n.Tag == "!!null" {
		return
	}
	if n.Kind != yaml.MappingNode {
		f.wrong(n, "", "write keys with values here: %s", names(readers))
		return
	}
	seen := map[string]bool{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		read, ok := readers[key.Value]
		switch {
		case seen[key.Value]:
			f.wrong(key, key.Value, "is here twice: keep one")
		case !ok:
			f.wrong(key, key.Value, "is not a key here: the keys are %s", names(readers))
		case value.Kind == yaml.AliasNode:
			f.wrong(value, key.Value, "an alias cannot be used here: write the value out")
		default:
			read(value, key.Value)
		}
		seen[key.Value] = true
	}
}

func names(readers map[string]func(*yaml.Node, string)) string {
	var all []string
	for _, k := range wishKeys {
		if readers[k] != nil {
			all = append(all, k)
		}
	}
	return strings.Join(all, ", ")
}

// wishKeys are all keys, in the order they are told in.
var wishKeys = []string{"whole", "whole_points", "whole_offers", "together", "prefer", "seekers", "home_points", "least_fit", "hired_help",
	"list", "lots", "must", "budget", "trips", "points"}

func (f *wishFile) each(n *yaml.Node, key string, read func(*yaml.Node)) {
	if n.Kind != yaml.SequenceNode {
		f.wrong(n, key, "write a list here, each item with - before it")
		return
	}
	for _, item := range n.Content {
		read(item)
	}
}

func (f *wishFile) text(n *yaml.Node, key string, to *string) {
	if *to = strings.TrimSpace(n.Value); n.Kind != yaml.ScalarNode || *to == "" {
		f.wrong(n, key, "write a text here")
	}
}

// most is the most points a wish may have: a hundred homes.
const most = 10_000

func (f *wishFile) number(n *yaml.Node, key string, to *int64) {
	v, err := strconv.ParseInt(n.Value, 10, 64)
	if err != nil || v < 0 || v > most {
		f.wrong(n, key, "%q is no number of points: write 0 to %d", n.Value, most)
		return
	}
	*to = v
}

func (f *wishFile) trips(n *yaml.Node, key string, to *int) {
	v, err := strconv.Atoi(n.Value)
	if err != nil || v < 1 || v > 1000 {
		f.wrong(n, key, "%q is no number of trips: write 1 to 1000", n.Value)
		return
	}
	*to = v
}

func (f *wishFile) yes(n *yaml.Node, key string, to *bool) {
	switch strings.ToLower(n.Value) {
	case "yes", "true":
		*to = true
	case "no", "false":
		*to = false
	default:
		f.wrong(n, key, "write yes or no")
	}
}

func (f *wishFile) whole(n *yaml.Node, key string) {
	var text string
	f.text(n, key, &text)
	w, err := ParseWhole(text)
	if f.wishes.Whole = w; err != nil && text != "" {
		f.wrong(n, key, "%v", err)
	}
}

// ParseWhole reads whether a shop is to stay whole: only, prefer or either.
func ParseWhole(text string) (Whole, error) {
	switch strings.ToLower(text) {
	case "only":
		return WholeOnly, nil
	case "prefer":
		return WholePreferred, nil
	case "either":
		return WholeOrNot, nil
	}
	return WholeOrNot, errors.New("write only, prefer or either")
}

func (f *wishFile) wholeOffer(n *yaml.Node) {
	var w WholeOffer
	f.keys(n, map[string]func(*yaml.Node, string){
		"list":  func(n *yaml.Node, k string) { f.text(n, k, &w.List) },
		"trips": func(n *yaml.Node, k string) { f.trips(n, k, &w.Trips) },
	})
	f.need(n, "list", w.List)
	f.wishes.WholeOffers = append(f.wishes.WholeOffers, w)
}

func (f *wishFile) need(n *yaml.Node, key, text string) {
	if text == "" && n.Kind == yaml.MappingNode {
		f.wrong(n, key, "is missing: give the title of a wanted list")
	}
}

func (f *wishFile) together(n *yaml.Node) {
	g := Together{Points: usualTogether}
	f.keys(n, map[string]func(*yaml.Node, string){
		"lots": func(n *yaml.Node, k string) {
			f.each(n, k, func(n *yaml.Node) {
				var tag string
				f.text(n, "lots", &tag)
				g.Tags = append(g.Tags, tag)
			})
		},
		"must":   func(n *yaml.Node, k string) { f.yes(n, k, &g.Must) },
		"points": func(n *yaml.Node, k string) { f.number(n, k, &g.Points) },
	})
	if len(g.Tags) < 2 && n.Kind == yaml.MappingNode {
		f.wrong(n, "lots", "name two lots or more, by their tags")
	}
	f.wishes.Together = append(f.wishes.Together, g)
}

func (f *wishFile) prefer(n *yaml.Node) {
	p := Prefer{Points: usualPrefer}
	if n.Kind == yaml.ScalarNode {
		f.text(n, "prefer", &p.List)
	} else {
		f.keys(n, map[string]func(*yaml.Node, string){
			"list":   func(n *yaml.Node, k string) { f.text(n, k, &p.List) },
			"points": func(n *yaml.Node, k string) { f.number(n, k, &p.Points) },
		})
	}
	f.need(n, "list", p.List)
	f.wishes.Prefer = append(f.wishes.Prefer, p)
}

func (f *wishFile) seeker(n *yaml.Node) {
	var l Limit
	f.keys(n, map[string]func(*yaml.Node, string){
		"list":  func(n *yaml.Node, k string) { f.text(n, k, &l.List) },
		"trips": func(n *yaml.Node, k string) { f.trips(n, k, &l.Trips) },
		"budget": func(n *yaml.Node, k string) {
			m, err := trade.ParseMoney(n.Value, f.currency)
			if l.Budget = m; err != nil {
				f.wrong(n, k, "%v", err)
			}
		},
	})
	f.need(n, "list", l.List)
	f.wishes.Limits = append(f.wishes.Limits, l)
}

func (f *wishFile) homePoints(n *yaml.Node, key string) {
	f.wishes.HomePoints = new(int64)
	f.number(n, key, f.wishes.HomePoints)
}

func (f *wishFile) leastFit(n *yaml.Node, key string) {
	v, err := strconv.ParseFloat(n.Value, 64)
	if f.wishes.LeastFit = v; err != nil || !(v >= 0 && v <= 100) {
		f.wrong(n, key, "%q is no fit: write 0 to 100", n.Value)
	}
}

func (f *wishFile) hiredHelp(n *yaml.Node, key string) {
	help := true
	f.yes(n, key, &help)
	f.wishes.OwnKitOnly = !help
}

// Wish makes wishes of what a command line says: which lots must go together, and
// whom to prefer, each with the usual points.
func (w *Wishes) Wish(whole string, together, prefer []string) error {
	if whole != "" {
		v, err := ParseWhole(whole)
		if err != nil {
			return &WishError{"whole: " + whole, err.Error()}
		}
		if w.Whole = v; v == WholePreferred && w.WholePoints == 0 {
			w.WholePoints = usualWhole
		}
	}
	for _, tags := range together {
		var g Together
		for tag := range strings.SplitSeq(tags, ",") {
			g.Tags = append(g.Tags, strings.TrimSpace(tag))
		}
		g.Must = true
		w.Together = append(w.Together, g)
	}
	for _, list := range prefer {
		w.Prefer = append(w.Prefer, Prefer{list, usualPrefer})
	}
	return nil
}
