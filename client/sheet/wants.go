package sheet

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// maxWants is the contract's limit for a list.
const maxWants = 200

func wantFields(currency string) []field[*pb.Want] {
	own := []field[*pb.Want]{
		idField(),
		needed(oneLine("title", 200, func(w *pb.Want) *string { return &w.Title }), "say in a line what is wanted"),
		partsListField("must_have", func(w *pb.Want) *[]string { return &w.MustHave }),
		lines("text_to_set", 1000, func(w *pb.Want) *string { return &w.TextToSet }),
		scalar("importance", func(w *pb.Want, s string) (err error) {
			w.Importance, err = readCount(s, 1, 5)
			return err
		}, func(w *pb.Want) string { return strings.TrimPrefix(fmt.Sprint(w.GetImportance()), "0") }),
	}
	set := func(w *pb.Want, f *pb.LotFilter) { w.Filter = f }
	return slices.Concat(own, allInside((*pb.Want).GetFilter, set, filterFields(currency)))
}

func filterFields(currency string) []field[*pb.LotFilter] {
	setNear := func(f *pb.LotFilter, n *pb.Near) { f.Near = n }
	return []field[*pb.LotFilter]{
		wordsField(),
		{key: "kind", read: readKinds, write: func(f *pb.LotFilter) *yaml.Node { return wordsNode(f.GetKinds(), trade.KindWord) }},
		{key: "class", read: readClasses, write: func(f *pb.LotFilter) *yaml.Node { return wordsNode(f.GetClasses(), trade.ClassWord) }},
		rectangleField("sheet", func(f *pb.LotFilter) **pb.Rectangle { return &f.Sheet }),
		massField("max_weight", func(f *pb.LotFilter) **float64 { return &f.MaxMassKg }),
		moneyField("max_price", currency, func(f *pb.LotFilter) **pb.Money { return &f.MaxPrice }),
		inside((*pb.LotFilter).GetNear, setNear, oneLine("near", 200, func(n *pb.Near) *string { return &n.Place })),
		inside((*pb.LotFilter).GetNear, setNear, withinField()),
		{key: "state", read: readStates, write: func(f *pb.LotFilter) *yaml.Node { return wordsNode(f.GetStates(), trade.StateWord) }},
		oneLine("shop", 200, func(f *pb.LotFilter) *string { return &f.Shop }),
		yesField("known_only", func(f *pb.LotFilter) *bool { return &f.KnownOnly }),
	}
}

var idRE = regexp.MustCompile(`^[a-z0-9-]{1,40}$`)

func idField() field[*pb.Want] {
	return scalar("id", func(w *pb.Want, s string) error {
		w.Id = s
		if !idRE.MatchString(s) {
			return fmt.Errorf("%q is not an id: write small letters, figures and hyphens, at most 40", s)
		}
		return nil
	}, func(w *pb.Want) string { return w.GetId() })
}

// wordsField are the words that must occur in a lot.
func wordsField() field[*pb.LotFilter] {
	f := oneLine("words", 1000, func(f *pb.LotFilter) *string { return &f.Words })
	read := f.read
	f.read = func(f *pb.LotFilter, v value) error {
		if n := len(strings.Fields(v.text)); n > 64 {
			return fmt.Errorf("there are %d words: at most 64 will do", n)
		}
		return read(f, v)
	}
	return f
}

// readKinds reads one kind or several. A word for a class gives both.
func readKinds(f *pb.LotFilter, v value) error {
	return eachWord(v, func(s string) error {
		kind, class, err := kindOrClass(s)
		if err == nil {
			f.Kinds = addOnce(f.Kinds, kind)
		}
		if class != 0 {
			f.Classes = addOnce(f.Classes, class)
		}
		return err
	})
}

func readClasses(f *pb.LotFilter, v value) error {
	return eachWord(v, func(s string) error {
		class, err := trade.ParseClass(s)
		f.Classes = addOnce(f.Classes, class)
		return err
	})
}

func readStates(f *pb.LotFilter, v value) error {
	return eachWord(v, func(s string) error {
		state, err := trade.ParseState(s)
		f.States = addOnce(f.States, state)
		return err
	})
}

// eachWord gives read each item of a list, or of a text with commas. Its error is
// that of every item.
func eachWord(v value, read func(string) error) error {
	words, err := v.list()
	if err != nil {
		return err
	}
	if v.scalar() {
		words = strings.Split(v.text, ",")
	}
	var wrong []string
	for _, w := range words {
		if err := read(strings.TrimSpace(w)); err != nil {
			wrong = append(wrong, err.Error())
		}
	}
	if wrong == nil {
		return nil
	}
	return errors.New(strings.Join(wrong, "; "))
}

func addOnce[T comparable](all []T, one T) []T {
	if slices.Contains(all, one) {
		return all
	}
	return append(all, one)
}

// wordsNode writes one word as such, and several as a list.
func wordsNode[T any](all []T, word func(T) string) *yaml.Node {
	var words []string
	for _, one := range all {
		words = append(words, word(one))
	}
	switch len(words) {
	case 0:
		return nil
	case 1:
		return bareNode(words[0])
	}
	return listNode(words)
}

// anyDistance stands for "within: any" until the list is settled.
var anyDistance = math.Inf(1)

func withinField() field[*pb.Near] {
	read := func(s string) (float64, error) {
		if fold(s) == "any" {
			return anyDistance, nil
		}
		return trade.ParseRoadKm(s)
	}
	f := optional("within", func(n *pb.Near) **float64 { return &n.WithinRoadKm }, read,
		func(v float64) string { return told(v, roadUnits, trade.ParseRoadKm) })
	write := f.write
	f.write = func(n *pb.Near) *yaml.Node {
		if n.WithinRoadKm == nil {
			return bareNode("any")
		}
		return write(n)
	}
	return f
}

// settleNear gives a want that says only where, or only how far, the other from
// its list.
func settleNear(n *pb.Near, list *pb.WantedList) {
	switch {
	case n == nil:
		return
	case n.WithinRoadKm == nil && list.ReachRoadKm != nil:
		reach := list.GetReachRoadKm()
		n.WithinRoadKm = &reach
	case n.WithinRoadKm != nil && *n.WithinRoadKm == anyDistance:
		n.WithinRoadKm = nil
	}
	if n.Place == "" {
		n.Place = list.GetPlace()
	}
}

func wantsField(currency string) field[*pb.WantedList] {
	fields := wantFields(currency)
	return field[*pb.WantedList]{
		key: "wants",
		read: func(l *pb.WantedList, v value) (err error) {
			l.Wants, err = readWants(v, fields)
			return err
		},
		write: func(l *pb.WantedList) *yaml.Node {
			list := &yaml.Node{Kind: yaml.SequenceNode}
			for _, w := range l.GetWants() {
				if n := writeFields(w, fields); n != nil {
					list.Content = append(list.Content, n)
				}
			}
			return list
		},
	}
}

func readWants(v value, fields []field[*pb.Want]) ([]*pb.Want, error) {
	if v.node.Kind != yaml.SequenceNode || len(v.node.Content) == 0 {
		return nil, errors.New(`write the wants as a list, each beginning with "- title: …"`)
	}
	if n := len(v.node.Content); n > maxWants {
		return nil, fmt.Errorf("there are %d wants: at most %d will do", n, maxWants)
	}
	var wants []*pb.Want
	var problems Problems
	first := map[string]int{}
	for _, node := range v.node.Content {
		want := &pb.Want{}
		problems = append(problems, readFields(want, node, fields)...)
		if at, twice := first[want.GetId()]; twice && want.GetId() != "" {
			problems = append(problems, Problem{Number: node.Line, Line: true, Column: "id", Value: want.GetId(),
				Message: fmt.Sprintf("%q is already the id of the want in line %d: give each its own", want.GetId(), at)})
		}
		first[want.GetId()] = node.Line
		problems = append(problems, placed(classesFit(want.GetFilter()), "class", nodeValue(node))...)
		wants = append(wants, want)
	}
	return wants, problems.or()
}

// classesFit refuses a filter in which the classes shut one of the kinds out.
func classesFit(f *pb.LotFilter) error {
	if len(f.GetClasses()) == 0 {
		return nil
	}
	for _, k := range f.GetKinds() {
		if !slices.ContainsFunc(f.GetClasses(), func(c pb.Class) bool { return trade.KindOf(c) == k }) {
			return fmt.Errorf("a class narrows the whole want, so no lot of %s could meet it: make that a want of its own", trade.KindWord(k))
		}
	}
	return nil
}
