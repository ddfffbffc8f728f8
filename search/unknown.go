package search

import (
	"context"
	"errors"
	"slices"
	"strconv"
	"strings"
	"unicode"

	pb "heirpress/proto/heirpress/v1"
)

// Unknown lists the words of a search that no lot has, as they were typed.
func (x *Index) Unknown(ctx context.Context, words string) ([]string, error) {
	unknown, err := x.unknownWords(ctx, words)
	var typed []string
	for _, at := range unknown {
		typed = append(typed, words[at.from:at.to])
	}
	return typed, err
}

// unknownWords tells where in a search the words stand that no lot has.
func (x *Index) unknownWords(ctx context.Context, words string) (unknown []stretch, err error) {
	err = x.lookUpWords(ctx, func(d *dictionary) {
		whole, _ := partPhrases(words)
		for _, p := range d.vocabulary.phrasesIn(whole) {
			beginning := strings.HasPrefix(words[p.at.to:], "*")
			if !beginning && slices.ContainsFunc(p.tokens, func(token string) bool { return d.having(token) == 0 }) {
				unknown = addStretch(unknown, wholeWord(words, p.at))
			}
		}
	})
	return unknown, err
}

// wholeWord is a stretch of a text with the letters and figures that it is
// written together with: of KR99, which are two words, all.
func wholeWord(text string, at stretch) stretch {
	ofWord := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r) }
	at.from = len(strings.TrimRightFunc(text[:at.from], ofWord))
	at.to = len(text) - len(strings.TrimLeftFunc(text[at.to:], ofWord))
	return at
}

// addStretch adds one to those before it, unless they run together.
func addStretch(all []stretch, at stretch) []stretch {
	if last := len(all) - 1; last >= 0 && at.from <= all[last].to {
		all[last].to = max(all[last].to, at.to)
		return all
	}
	return append(all, at)
}

// lookUpWords lends the words there are.
func (x *Index) lookUpWords(ctx context.Context, use func(*dictionary)) error {
	g, err := x.enter(ctx)
	if err != nil {
		return err
	}
	defer x.leave(g)
	if err = g.lookUpWords(use); err != nil && ctx.Err() == nil {
		return g.trouble(err)
	}
	return err
}

func (g *generation) lookUpWords(use func(*dictionary)) (err error) {
	defer recoverAs(&err)
	snapshot, err := g.snapshot()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, snapshot.Close()) }()
	d := &dictionary{snapshot: snapshot, living: &g.living, vocabulary: theVocabulary(), likeliest: map[string]string{}}
	use(d)
	return d.err
}

// dropUnknown leaves out the words that no lot has, where others are left to go
// by.
func (l *looser) dropUnknown(unknown []stretch) {
	words, _ := partPhrases(l.from.GetWords())
	var rest, named strings.Builder
	end := 0
	for i, at := range unknown {
		rest.WriteString(words[end:at.from] + " ")
		named.WriteString(before2nd(i, len(unknown)) + strconv.Quote(words[at.from:at.to]))
		end = at.to
	}
	left := strings.Join(strings.Fields(rest.String()+words[end:]), " ")
	if len(Analyze(left)) > 0 {
		l.add("words", "without "+named.String(), func(g *pb.LotFilter) { g.Words = left })
	}
}

// before2nd is what stands before the i-th of n names in a row.
func before2nd(i, n int) string {
	switch {
	case i == 0:
		return ""
	case i == n-1:
		return " and "
	}
	return ", "
}
