package sheet

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
)

// field ties a key of a file to a place in a message: one table of fields both
// reads the message and writes it.
type field[M any] struct {
	// key is the key in YAML, and the column in a table.
	key string
	// read takes a value that is not blank. Its error says what would be right,
	// or is Problems that say where they are themselves.
	read func(m M, v value) error
	// write returns nil where there is nothing to say.
	write func(m M) *yaml.Node
	// need is what to say where a mapping does not have it. Empty: it may be
	// left out.
	need string
}

// needed makes a field one that may not be left out.
func needed[M any](f field[M], need string) field[M] {
	f.need = need
	return f
}

// value is what stands under a key or in a cell.
type value struct {
	// text is what is written there, as one line of a person's report.
	text string
	// node is the YAML; nil for a cell.
	node *yaml.Node
}

func cellValue(text string) value { return value{text: strings.TrimSpace(text)} }

func nodeValue(n *yaml.Node) value { return value{text: strings.TrimSpace(nodeText(n)), node: n} }

// nodeText is a node as it would stand in a cell.
func nodeText(n *yaml.Node) string {
	if n.Kind == yaml.ScalarNode {
		if n.Tag == "!!null" {
			return ""
		}
		return n.Value
	}
	var parts []string
	for i, c := range n.Content {
		switch {
		case n.Kind == yaml.SequenceNode:
			parts = append(parts, nodeText(c))
		case i%2 == 1:
			parts = append(parts, n.Content[i-1].Value+": "+nodeText(c))
		}
	}
	return strings.Join(parts, ", ")
}

// blank tells whether nothing is said. An empty list says something, but nobody
// can know what, so it is left to the field to refuse.
func (v value) blank() bool { return v.text == "" && v.scalar() }

func (v value) scalar() bool { return v.node == nil || v.node.Kind == yaml.ScalarNode }

// one returns the value as a single text.
func (v value) one() (string, error) {
	if !v.scalar() {
		return "", errors.New("write one value here, not several")
	}
	return v.text, nil
}

// list returns the value as a list of texts; a single text is a list of one.
func (v value) list() ([]string, error) {
	if v.scalar() {
		return []string{v.text}, nil
	}
	if v.node.Kind != yaml.SequenceNode || len(v.node.Content) == 0 {
		return nil, errors.New("write one value or a list, as [a, b]; leave the key out if there is nothing to say")
	}
	var texts []string
	for _, c := range v.node.Content {
		item := nodeValue(c)
		if !item.scalar() || item.blank() {
			return nil, errors.New("every item of the list must be a text")
		}
		texts = append(texts, item.text)
	}
	return texts, nil
}

// readFields reads a mapping into m with a table of fields. All of its problems
// come back at once.
func readFields[M any](m M, node *yaml.Node, fields []field[M]) Problems {
	values, problems := mapping(node, keysOf(fields))
	if values == nil {
		return problems
	}
	for _, f := range fields {
		if f.need != "" && values[f.key].blank() {
			problems = append(problems, Problem{Number: node.Line, Line: true, Column: f.key, Message: "is missing: " + f.need})
		}
	}
	return append(problems, apply(m, values, fields)...)
}

// apply reads values into m, in the order of the table.
func apply[M any](m M, values map[string]value, fields []field[M]) Problems {
	var problems Problems
	for _, f := range fields {
		if v, ok := values[f.key]; ok && !v.blank() {
			problems = append(problems, placed(f.read(m, v), f.key, v)...)
		}
	}
	return problems
}

// placed turns what a field said into problems that say where they are.
func placed(err error, key string, v value) Problems {
	if err == nil {
		return nil
	}
	var ps Problems
	if errors.As(err, &ps) {
		return ps
	}
	p := Problem{Column: key, Value: v.text, Message: err.Error()}
	if v.node != nil {
		p.Number, p.Line = v.node.Line, true
	}
	return Problems{p}
}

// mapping returns the values of a mapping by key, and what is wrong with its keys.
func mapping(node *yaml.Node, keys []string) (map[string]value, Problems) {
	if node.Kind != yaml.MappingNode {
		return nil, Problems{{Number: node.Line, Line: true, Value: nodeText(node),
			Message: fmt.Sprintf("write keys here, each with its value, as %s: …", keys[0])}}
	}
	values := map[string]value{}
	var problems Problems
	for i := 0; i < len(node.Content); i += 2 {
		k, v := node.Content[i], nodeValue(node.Content[i+1])
		name := nodeText(k)
		at := slices.IndexFunc(keys, func(key string) bool { return fold(key) == fold(name) })
		message := ""
		if at < 0 {
			message = unknownKey(name, keys)
		} else if old, twice := values[keys[at]]; twice {
			message = fmt.Sprintf("is here twice, first in line %d: keep one", old.node.Line)
		} else {
			values[keys[at]] = v
			continue
		}
		problems = append(problems, Problem{Number: k.Line, Line: true, Column: name, Value: v.text, Message: message})
	}
	return values, problems
}

func keysOf[M any](fields []field[M]) []string {
	keys := make([]string, len(fields))
	for i, f := range fields {
		keys[i] = f.key
	}
	return keys
}

// unknownKey says that there is no such key, and which may have been meant.
func unknownKey(name string, keys []string) string {
	if near := nearest(name, keys); near != "" {
		return fmt.Sprintf("there is no such key here: did you mean %s?", near)
	}
	return "there is no such key here; there are " + strings.Join(keys, ", ")
}

// writeFields writes what a message says as a mapping; nil if it says nothing.
func writeFields[M any](m M, fields []field[M]) *yaml.Node {
	node := &yaml.Node{Kind: yaml.MappingNode}
	for _, f := range fields {
		if v := f.write(m); v != nil {
			node.Content = append(node.Content, textNode(f.key), v)
		}
	}
	if len(node.Content) == 0 {
		return nil
	}
	return node
}
