package search

import (
	"slices"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

// A lot is found by each of its tokens, and by no others.
func TestTokensAreWhatALotIsFoundBy(t *testing.T) {
	d := newDice(11)
	for n := range 200 {
		facts := Read(d.lot(n, 1))
		all := slices.Concat(facts.Tokens()...)
		for _, token := range all {
			if !facts.words[token] {
				t.Fatalf("%q is a token of the lot, which is not found by it", token)
			}
		}
		for word := range facts.words {
			if !slices.Contains(all, word) {
				t.Fatalf("the lot is found by %q, which is none of its tokens", word)
			}
		}
	}
	if got := slices.Concat(Read(&pb.Lot{Title: "Platens"}).Tokens()...); !slices.Contains(got, "platen") {
		t.Errorf("got %q, want platen among them", got)
	}
}
