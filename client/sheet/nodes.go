package sheet

import (
	"errors"
	"io"
	"strings"

	"go.yaml.in/yaml/v3"
)

// parseYAML reads a file that is one YAML document and returns its top node.
func parseYAML(body string) (*yaml.Node, error) {
	dec := yaml.NewDecoder(strings.NewReader(body))
	var doc, more yaml.Node
	if err := dec.Decode(&doc); err != nil {
		return nil, yamlError(err)
	}
	if err := dec.Decode(&more); !errors.Is(err, io.EOF) {
		if err != nil {
			return nil, yamlError(err)
		}
		return nil, Problems{{Number: more.Line, Line: true, Message: "a second document begins here: keep one to a file"}}
	}
	if at := findAlias(&doc); at != nil {
		return nil, Problems{{Number: at.Line, Line: true, Value: at.Value, Message: "an alias cannot be used here: write the value out, or put a text that begins with * in quotes"}}
	}
	return doc.Content[0], nil
}

// findAlias returns the first alias in a document, or nil.
func findAlias(n *yaml.Node) *yaml.Node {
	if n.Kind == yaml.AliasNode {
		return n
	}
	for _, c := range n.Content {
		if at := findAlias(c); at != nil {
			return at
		}
	}
	return nil
}

// yamlError says what YAML cannot be read, in words for people who do not
// write it every day.
func yamlError(err error) error {
	if errors.Is(err, io.EOF) {
		return errors.New("holds nothing but comments")
	}
	message := strings.TrimPrefix(err.Error(), "yaml: ")
	switch {
	case strings.Contains(message, "mapping values are not allowed"):
		message += `: put a text that holds ": " in quotes`
	case strings.Contains(message, "cannot start any token"):
		message += ": indent with spaces, not tabs, and put a text that begins with a sign in quotes"
	}
	return errors.New("is not YAML: " + message)
}

// textNode is a text; it reads back as the same text whatever is in it.
func textNode(s string) *yaml.Node {
	return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: s}
}

// bareNode is a number, a day or a yes that needs no quotes.
func bareNode(s string) *yaml.Node {
	return &yaml.Node{Kind: yaml.ScalarNode, Value: s}
}

// listNode is a list of texts on one line.
func listNode(texts []string) *yaml.Node {
	n := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
	for _, t := range texts {
		n.Content = append(n.Content, textNode(t))
	}
	return n
}

// encode writes a document.
func encode(w io.Writer, top *yaml.Node) error {
	enc := yaml.NewEncoder(w)
	enc.SetIndent(2)
	if err := enc.Encode(top); err != nil {
		return err
	}
	return enc.Close()
}
