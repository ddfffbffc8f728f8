package search

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	pb "heirpress/proto/heirpress/v1"
)

//go:embed vocabulary.txt
var vocabularyText string

// vocabulary is how the words of the trade meet; vocabulary.txt tells what each
// kind of rule means.
type vocabulary struct {
	stops map[string]bool
	units map[string]string
	// folds and kin are found by the first token of what they look for.
	folds   map[string][]rule
	kin     map[string][]rule
	kinds   map[pb.Kind][]string
	classes map[pb.Class][]string
	drives  map[pb.Drive][]string
}

// rule says that a run of tokens stands for, or brings with it, other tokens.
type rule struct{ from, to []string }

// theVocabulary is the vocabulary of the program.
var theVocabulary = sync.OnceValue(func() *vocabulary {
	v, err := parseVocabulary(vocabularyText)
	if err != nil {
		panic(err) // The text is part of the program, and a test reads it.
	}
	return v
})

// parseVocabulary reads rules, one a line. An error names the line.
func parseVocabulary(text string) (*vocabulary, error) {
	v := &vocabulary{
		stops: map[string]bool{}, units: map[string]string{},
		folds: map[string][]rule{}, kin: map[string][]rule{},
		kinds: map[pb.Kind][]string{}, classes: map[pb.Class][]string{}, drives: map[pb.Drive][]string{},
	}
	for i, line := range strings.Split(text, "\n") {
		if line = strings.TrimSpace(line); line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		if err := v.add(line); err != nil {
			return nil, fmt.Errorf("vocabulary, line %d: %w", i+1, err)
		}
	}
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
		for _, word := range strings.Fields(from) {
			v.stops[word] = true
		}
	case "unit":
		for _, word := range append(strings.Fields(from), to[0]) {
			v.units[word] = to[0]
		}
	case "fold":
		return v.addRules(v.folds, from, to)
	case "same":
		return v.addSame(from)
	case "also":
		return v.addRules(v.kin, from, to)
	case "kind":
		return addNamed(v.kinds, pb.Kind_value, "KIND_", from, to)
	case "class":
		return addNamed(v.classes, pb.Class_value, "CLASS_", from, to)
	case "drive":
		return addNamed(v.drives, pb.Drive_value, "DRIVE_", from, to)
	default:
		return fmt.Errorf("no such rule: %q", verb)
	}
	return nil
}

// sign parts the two sides of a rule, for the rules that have two.
var sign = map[string]string{"unit": "=", "fold": "=", "also": ">", "kind": ">", "class": ">", "drive": ">"}

// addSame makes each of several names bring the others with it.
func (v *vocabulary) addSame(names string) error {
	var all []string
	for name := range strings.SplitSeq(names, ",") {
		all = append(all, v.phrase(name)...)
	}
	return v.addRules(v.kin, names, all)
}

// addRules adds a rule for each phrase between commas.
func (v *vocabulary) addRules(rules map[string][]rule, phrases string, to []string) error {
	for phrase := range strings.SplitSeq(phrases, ",") {
		from := v.phrase(phrase)
		if len(from) == 0 {
			return fmt.Errorf("%q has an empty phrase", phrases)
		}
		// The longest comes first, so that it wins.
		same := append(rules[from[0]], rule{from: from, to: to})
		slices.SortStableFunc(same, func(a, b rule) int { return len(b.from) - len(a.from) })
		rules[from[0]] = same
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
func (v *vocabulary) phrase(text string) []string {
	var tokens []string
	for _, t := range scan(fold(text)) {
		if !v.stops[t.text] {
			tokens = append(tokens, stem(t.text))
		}
	}
	return v.foldPhrases(tokens)
}

// foldPhrases writes each phrase that has a fold rule in its one way. Of
// phrases that begin at the same token the longest wins.
func (v *vocabulary) foldPhrases(tokens []string) []string {
	var folded []string
	for i := 0; i < len(tokens); {
		r, ok := firstMatch(v.folds[tokens[i]], tokens[i:])
		if !ok {
			folded = append(folded, tokens[i])
			i++
			continue
		}
		folded = append(folded, r.to...)
		i += len(r.from)
	}
	return folded
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

// brought lists the words that the phrases in tokens bring with them.
func (v *vocabulary) brought(tokens []string) []string {
	var words []string
	for i, token := range tokens {
		for _, r := range v.kin[token] {
			if beginsWith(tokens[i:], r.from) {
				words = append(words, r.to...)
			}
		}
	}
	return words
}
