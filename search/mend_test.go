package search

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

// lotsTitled puts lots with these titles into a new index.
func lotsTitled(t *testing.T, titles ...string) (*Index, truth) {
	t.Helper()
	x, all := openIndex(t, t.TempDir()), newTruth()
	var lots []*pb.Lot
	for i, title := range titles {
		lot := &pb.Lot{Name: "shops/a/lots/l-" + string(rune('a'+i)), Title: title, State: pb.LotState_LOT_STATE_OFFERED, Revision: uint64(i + 1)}
		all.put(lot)
		lots = append(lots, lot)
	}
	if err := x.Apply(context.Background(), uint64(len(lots)), lots, nil); err != nil {
		t.Fatal(err)
	}
	return x, all
}

func TestMend(t *testing.T) {
	x, _ := lotsTitled(t, "Halvorsen platen jobber KR15", "Corwen imposing stone", "Brass galley", "Brass gauge", "Marrowby barrowdon", "Marrowbe", "Holzlettern", "Halverson's brass press")
	cases := []struct{ words, want string }{
		// One slip in four letters, two in eight; swapped neighbours are one.
		{"platten jober", "platen jobber"}, {"plaetn", "platen"}, {"Platte", "Platte"}, {"barrodon", "barrowdon"}, {"barromdom", "barrowdon"}, {"barromton", "barrowdon"}, {"karromdom", "karromdom"},
		{"ston", "stone"}, {"sto", "sto"}, {"jobers", "jobber"}, {"plattens", "platen"}, {"pres", "press"}, {"holzletern", "holzlettern"}, {"impozing-stone", "imposing-stone"}, {"imposingstone", "imposing stone"},
		// What occurs somewhere, or is a word of the trade, is right.
		{"marrowbe", "marrowbe"}, {"marrowby", "marrowby"}, {"halverson", "halverson"}, {"clamshell", "clamshell"}, {"font", "font"}, {"the", "the"}, {"with", "with"}, {"twelve", "twelve"},
		// Of words as near the one with the same first letter, then the commoner.
		{"bruss", "brass"}, {"gallfy", "galley"}, {"xress", "press"},
		// Codes, figures and signs stay.
		{"KR16", "KR16"}, {"kr-15 platten", "kr-15 platen"}, {"10x16", "10x16"}, {"?!", "?!"}, {"", ""},
		{"  platten ,  jober!", "  platen ,  jobber!"},
		// Short words are mended into what is found, and not beside what is not.
		{"brase galley", "brass galley"}, {"brase platen", "brase platen"}, {"hour galley", "hour galley"}, {"brase gallfey", "brass galley"}, {"corwem gauge", "corwen gauge"},
	}
	for _, c := range cases {
		got, mended, err := x.Mend(context.Background(), c.words)
		if err != nil {
			t.Fatal(err)
		}
		if got != c.want || (len(mended) > 0) != (got != c.words) {
			t.Errorf("%q is mended to %q (%v), not %q", c.words, got, mended, c.want)
		}
	}
}

// What was mended is told, and never more than a few words.
func TestMendedIsTold(t *testing.T) {
	x, _ := lotsTitled(t, "Platen jobber")
	_, mended, err := x.Mend(context.Background(), "Platten JOBER")
	if err != nil || !slices.Equal(mended, []Mended{{"Platten", "platen"}, {"JOBER", "jobber"}}) {
		t.Errorf("%v, %v", mended, err)
	}
	words, mended, err := x.Mend(context.Background(), strings.Repeat("platten ", 60))
	if err != nil || len(mended) != mostMended || strings.Count(words, "platten") != 60-mostMended {
		t.Errorf("%d mended, %v", len(mended), err)
	}
	long := strings.Repeat("platten ", 10_000)
	if words, mended, err := x.Mend(context.Background(), long); words != long || mended != nil || err != nil {
		t.Errorf("10,000 words: %v, %v", mended, err)
	}
}

// A mended search finds what Matches lets pass by the mended words; and a lot
// that says the word as it was typed is never passed over for one that does not.
func TestMendedSearchEqualsTruth(t *testing.T) {
	d, x, all := newDice(21), openIndex(t, t.TempDir()), newTruth()
	stir(t, d, x, all, 0)
	for range 100 {
		word := []rune(pick(d, someWords))
		i, j := d.IntN(len(word)), d.IntN(len(word))
		word[i], word[j] = word[j], word[i]
		if d.chance(30) {
			word = slices.Delete(word, i, i+1)
		}
		typed := string(word) + " " + pick(d, someWords)
		f := wordsAlone(typed)
		if len(Validate(f)) > 0 {
			continue
		}
		words, mended, err := x.Mend(context.Background(), typed)
		if err != nil {
			t.Fatal(err)
		}
		if len(all.search(f, 0)) > 0 && len(mended) > 0 {
			t.Fatalf("%q finds lots, and was mended to %q", typed, words)
		}
		agree(t, x, all, wordsAlone(words), pb.LotOrder_LOT_ORDER_BEST, 20)
	}
}

func TestSlipsBetween(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"platen", "platen", 0}, {"platen", "platten", 1}, {"platen", "plaetn", 1}, {"platen", "plate", 1}, {"platen", "plaxen", 1},
		{"platen", "", 6}, {"", "ab", 2}, {"épreuve", "epreuve", 1}, {"ca", "abc", 3},
	} {
		if got := slipsBetween(c.a, c.b); got != c.want || slipsBetween(c.b, c.a) != got {
			t.Errorf("%q and %q: %d slips, not %d", c.a, c.b, got, c.want)
		}
	}
}

func TestMendStops(t *testing.T) {
	x, _ := lotsTitled(t, "Platen jobber")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, _, err := x.Mend(ctx, "platten"); !errors.Is(err, context.Canceled) {
		t.Errorf("mending without leave: %v", err)
	}
	if err := x.Close(); err != nil {
		t.Fatal(err)
	}
	if _, _, err := x.Mend(context.Background(), "platten"); !errors.Is(err, ErrClosed) {
		t.Errorf("mending in a closed index: %v", err)
	}
}
