package search

import (
	"fmt"
	"sync"

	segment "github.com/blevesearch/scorch_segment_api/v2"
	"github.com/blevesearch/vellum/levenshtein"
)

// builders make automata of words within so many slips; a builder is dear, and
// made once.
var builders = [...]func() (*levenshtein.LevenshteinAutomatonBuilder, error){
	1: sync.OnceValues(func() (*levenshtein.LevenshteinAutomatonBuilder, error) {
		return levenshtein.NewLevenshteinAutomatonBuilder(1, true)
	}),
	2: sync.OnceValues(func() (*levenshtein.LevenshteinAutomatonBuilder, error) {
		return levenshtein.NewLevenshteinAutomatonBuilder(2, true)
	}),
}

// alikeWords lets pass the terms of wordField whose word is at most so many
// slips, 1 or 2, from a word.
func alikeWords(word string, most int) (segment.Automaton, error) {
	builder, err := builders[most]()
	if err != nil {
		return nil, fmt.Errorf("search: %w", err)
	}
	like, err := builder.BuildDfa(word, uint8(most))
	if err != nil {
		return nil, fmt.Errorf("search: %w", err)
	}
	return filedWords{like}, nil
}

// filedWords lets pass the terms whose word an automaton lets pass: after the
// word comes its end, and its level. Its states are those of the automaton, and
// two more, below zero.
type filedWords struct{ words segment.Automaton }

const (
	atLevel = -1 - iota // the word has ended as it should
	passed              // and its level been read
	failed              // none of it
)

// Start is where a word begins.
func (f filedWords) Start() int { return f.words.Start() }

// IsMatch tells whether the whole term has been read.
func (f filedWords) IsMatch(state int) bool { return state == passed }

// CanMatch tells whether a term that goes on may pass.
func (f filedWords) CanMatch(state int) bool {
	return state == atLevel || state == passed || state >= 0 && f.words.CanMatch(state)
}

// WillAlwaysMatch is never so: a term ends with its level.
func (f filedWords) WillAlwaysMatch(int) bool { return false }

// Accept reads one byte.
func (f filedWords) Accept(state int, b byte) int {
	switch {
	case state == atLevel:
		return passed
	case state < 0:
		return failed
	case b != endOfWord[0]:
		return f.words.Accept(state, b)
	case f.words.IsMatch(state):
		return atLevel
	}
	return failed
}
