package search

import (
	_ "embed"
	"fmt"
	"sync"
	"sync/atomic"
)

//go:embed vocabulary.txt
var vocabularyText string

// operatorText is what the operator has added to the vocabulary, and operators
// the two together, read.
var operators struct {
	sync.Mutex
	text string
	read atomic.Pointer[vocabulary]
}

// programVocabulary is the vocabulary that comes with the program.
var programVocabulary = sync.OnceValue(func() *vocabulary {
	v, err := parseVocabulary(vocabularyText)
	if err != nil {
		panic(err) // The text is part of the program, and a test reads it.
	}
	return v
})

// theVocabulary is the vocabulary in use.
func theVocabulary() *vocabulary {
	if v := operators.read.Load(); v != nil {
		return v
	}
	return programVocabulary()
}

// ExtendVocabulary adds an operator's own rules, as vocabulary.txt has them, to
// those of the program: makers, models, abbreviations. Call it once, before any
// index is opened or filter compiled: searches and alerts then read by the same
// rules, and an index that was made by others is rebuilt, for the rules are part
// of its name. A call takes the place of the one before; empty text takes it
// back. An error names the line, and changes nothing.
func ExtendVocabulary(text string) error {
	operators.Lock()
	defer operators.Unlock()
	if text == "" {
		operators.text = ""
		operators.read.Store(nil)
		return nil
	}
	if _, err := parseVocabulary(text); err != nil {
		return fmt.Errorf("search: the operator's %w", err)
	}
	both, err := parseVocabulary(vocabularyText + "\n" + text)
	if err != nil {
		return fmt.Errorf("search: %w", err)
	}
	operators.text = text
	operators.read.Store(both)
	return nil
}

// rulesText is the text of every rule in use.
func rulesText() string {
	operators.Lock()
	defer operators.Unlock()
	return vocabularyText + "\x00" + operators.text
}
