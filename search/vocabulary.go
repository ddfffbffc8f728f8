package search

import (
	"fmt"
	"slices"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// vocabulary is how the words of the trade meet; vocabulary.txt tells what each
// kind of rule means.
type vocabulary struct {
	stops map[string]bool
	units map[string]string
	// tails are words that say nothing after a measure.
	tails map[string]bool
	// bodies are words that make the number after them points.
	bodies map[string]bool
	// folds and kin are found by the first token of what they look for.
	folds   map[string][]rule
	kin     map[string][]rule
	kinds   map[pb.Kind][]string
	classes map[pb.Class][]string
	drives  map[pb.Drive][]string
	supply  map[pb.Supply][]string
	// every are the words by which every lot is found.
	every []string
	// within are rules for the lots of one kind.
	within map[pb.Kind]map[string][]rule
	// known is every word that a rule looks for or gives, and is no slip.
	known map[string]bool
}

// rule says that a run of tokens stands for, or brings with it, other tokens.
type rule struct {
	from, to []string
	// abroad marks a rule for the words of another language.
	abroad bool
}

// parseVocabulary reads rules, one a line. An error names the line.
func parseVocabulary(text string) (*vocabulary, error) {
	v := &vocabulary{
		stops: map[string]bool{}, tails: map[string]bool{}, units: map[string]string{}, bodies: map[string]bool{}, known: map[string]bool{},
		folds: map[string][]rule{}, kin: map[string][]rule{},
		kinds: map[pb.Kind][]string{}, classes: map[pb.Class][]string{}, drives: map[pb.Drive][]string{},
		supply: map[pb.Supply][]string{},
		within: map[pb.Kind]map[string][]rule{},
	}
	for i, line := range strings.Split(text, "\n") {
		if line = strings.TrimSpace(line); line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		if err := v.add(line); err != nil {
			return nil, fmt.Errorf("vocabulary, line %d: %w", i+1, err)
		}
	}
	v.addOldNames()
	return v, nil
}

// add takes one rule.
func (v *vocabulary) add(line string) error {
	verb, rest, _ := strings.Cut(line, " ")
	left, right := rest, ""
	if sign[verb] != "" {
		left, right, _ = strings.Cut(rest, sign[verb])
	}
	from, to := strings.TrimSpace(left), v.phrase(right)
	if from == "" || (sign[verb] != "" && len(to) == 0) {
		return fmt.Errorf("%q says nothing", line)
	}
	switch verb {
	case "stop":
		v.note(v.stops, strings.Fields(from))
	case "tail":
		v.note(v.tails, strings.Fields(from))
	case "body":
		v.note(v.bodies, strings.Fields(from))
	case "every":
		v.every = append(v.every, v.phrase(from)...)
	case "unit":
		for _, word := range append(strings.Fields(from), to[0]) {
			v.units[word] = to[0]
			v.known[word] = true
		}
	case "fold", "abroad":
		return v.addRules(v.folds, from, rule{to: to, abroad: verb == "abroad"}, v.words)
	case "same":
		return v.addSame(from)
	case "also":
		return v.addRules(v.kin, from, rule{to: to}, v.phrase)
	case "within":
		return v.addWithin(from, to)
	case "kind":
		return addNamed(v.kinds, pb.Kind_value, "KIND_", from, to)
	case "class":
		return addNamed(v.classes, pb.Class_value, "CLASS_", from, to)
	case "drive":
		return addNamed(v.drives, pb.Drive_value, "DRIVE_", from, to)
	case "supply":
		return addNamed(v.supply, pb.Supply_value, "SUPPLY_", from, to)
	default:
		return fmt.Errorf("no such rule: %q", verb)
	}
	return nil
}

// note keeps words of which there is nothing to say but that they are there.
func (v *vocabulary) note(set map[string]bool, words []string) {
	for _, word := range words {
		set[word], v.known[word] = true, true
	}
}

// addWithin adds a rule for the lots of one kind, which is named first.
func (v *vocabulary) addWithin(from string, to []string) error {
	name, phrases, _ := strings.Cut(from, " ")
	kind := pb.Kind(pb.Kind_value["KIND_"+strings.ToUpper(name)])
	if kind == pb.Kind_KIND_UNSPECIFIED {
		return fmt.Errorf("the contract has no KIND_%s", strings.ToUpper(name))
	}
	if v.within[kind] == nil {
		v.within[kind] = map[string][]rule{}
	}
	return v.addRules(v.within[kind], phrases, rule{to: to}, v.phrase)
}

// sign parts the two sides of a rule, for the rules that have two.
var sign = map[string]string{"unit": "=", "fold": "=", "abroad": "=", "also": ">", "within": ">", "kind": ">", "class": ">", "drive": ">", "supply": ">"}

// addSame makes each of several names bring the others with it.
func (v *vocabulary) addSame(names string) error {
	var all []string
	for name := range strings.SplitSeq(names, ",") {
		all = append(all, v.phrase(name)...)
	}
	return v.addRules(v.kin, names, rule{to: all}, v.phrase)
}

// addRules adds a rule for each phrase between commas, which is read as far as
// the text will be that it is looked for in.
func (v *vocabulary) addRules(rules map[string][]rule, phrases string, r rule, read func(string) []string) error {
	for phrase := range strings.SplitSeq(phrases, ",") {
		r.from = read(phrase)
		if len(r.from) == 0 {
			return fmt.Errorf("%q has an empty phrase", phrases)
		}
		// The longest comes first, so that it wins.
		same := append(rules[r.from[0]], r)
		slices.SortStableFunc(same, func(a, b rule) int { return len(b.from) - len(a.from) })
		rules[r.from[0]] = same
		for _, word := range append(v.words(phrase), r.to...) {
			v.known[word] = true
		}
	}
	return nil
}

// addNamed adds words to a value of the contract, found by its name there.
func addNamed[E ~int32](words map[E][]string, values map[string]int32, prefix, name string, to []string) error {
	number, ok := values[prefix+strings.ToUpper(name)]
	if !ok {
		return fmt.Errorf("the contract has no %s%s", prefix, strings.ToUpper(name))
	}
	words[E(number)] = to
	return nil
}

// phrase reads a phrase of the vocabulary as a lot's text would be read, by the
// rules so far.
func (v *vocabulary) phrase(text string) []string { return v.analyze(text).tokens }

// foldPhrases writes each phrase that has a fold rule in its one way.
func (v *vocabulary) foldPhrases(words []string) analysis {
	var a analysis
	v.eachPhrase(words, func(at int, r rule) {
		if r.from == nil {
			a.tokens, a.own = append(a.tokens, words[at]), append(a.own, words[at])
			return
		}
		if a.tokens = append(a.tokens, r.to...); r.abroad {
			a.abroad = append(a.abroad, r.to...)
		} else {
			a.own = append(a.own, r.to...)
		}
		a.typed = append(a.typed, r.from...)
	})
	return a
}

// eachPhrase shows each phrase that has a fold rule, and each word that is in
// none, with no rule. Of phrases that begin at the same word the longest wins.
func (v *vocabulary) eachPhrase(words []string, show func(at int, r rule)) {
	for i := 0; i < len(words); {
		r, ok := firstMatch(v.folds[words[i]], words[i:])
		show(i, r)
		if i++; ok {
			i += len(r.from) - 1
		}
	}
}

func firstMatch(rules []rule, tokens []string) (rule, bool) {
	for _, r := range rules {
		if beginsWith(tokens, r.from) {
			return r, true
		}
	}
	return rule{}, false
}

func beginsWith(tokens, phrase []string) bool {
	return len(tokens) >= len(phrase) && slices.Equal(tokens[:len(phrase)], phrase)
}

// brought lists the words that the phrases in a lot's tokens bring with them.
func (v *vocabulary) brought(kind pb.Kind, tokens []string) []string {
	var words []string
	for i, token := range tokens {
		for _, rules := range [][]rule{v.kin[token], v.within[kind][token]} {
			for _, r := range rules {
				if beginsWith(tokens[i:], r.from) {
					words = append(words, r.to...)
				}
			}
		}
	}
	return words
}
