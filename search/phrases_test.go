package search

import (
	"context"
	"slices"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

func TestPartPhrases(t *testing.T) {
	for words, want := range map[string][]string{
		`wood type`: nil, `"wood type"`: {"wood type"}, `a "wood type" and “brass rule”, „x y“`: {"wood type", "brass rule", "x y"}, `«tipos de madera»`: {"tipos de madera"},
		`10" type 4" wide`: nil, `"10 inch" type 4"`: {"10 inch"}, `"type 10" tall`: {"type 10"}, `12" x 18" "wood type"`: {"wood type"},
		`"`: nil, `""`: nil, `"" ""`: nil, `"open`: nil, `o"pe n"`: nil, `" spaced "`: nil, "\"\xff\" \"a b\"": {"\xff", "a b"}, `"a"b c"`: {`a"b c`},
	} {
		whole, phrases := partPhrases(words)
		if !slices.Equal(phrases, want) {
			t.Errorf("%s has phrases %q, not %q", words, phrases, want)
		}
		if len(whole) != len(words) || len(want) == 0 && whole != words {
			t.Errorf("%s becomes %q", words, whole)
		}
		open, hiddenOnes := hidePhrases(words)
		if back := showPhrases(open, hiddenOnes); back != words || len(hiddenOnes) != len(want) {
			t.Errorf("%s comes back as %s", words, back)
		}
	}
}

// A phrase stands together, in whatever the lot says it, notes and other
// languages too, and nowhere else.
func TestPhrases(t *testing.T) {
	lots := []*pb.Lot{
		{Title: "Wood type"}, {Title: "Type on wood"}, {Title: "Cutter", Description: "A fount of wooden type, and a brass rule."},
		{Title: "Caractères en bois, 24 lignes"}, {Title: "Jobber", Make: "Corwen", Model: "KR15"}, {Title: "KR press", Description: "Corwen made it. 15 rollers."},
		{Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_PLATEN_JOBBER, Title: "Iron"}, {Title: "A b c", Town: &pb.Town{Name: "Dayton", Region: "OH"}},
	}
	x := openIndex(t, t.TempDir())
	for i, lot := range lots {
		lot.Name, lot.State = "shops/s/lots/"+string(rune('a'+i)), pb.LotState_LOT_STATE_OFFERED
	}
	if err := x.Apply(context.Background(), 1, lots, nil); err != nil {
		t.Fatal(err)
	}
	for words, want := range map[string]string{
		`wood type`: "abcd", `"wood type"`: "acd", `"type wood"`: "b", `"wooden types"`: "acd", `"holzlettern"`: "acd", `"caractères en bois, 24 lignes"`: "d",
		`"brass rule"`: "c", `"rule brass"`: "", `"type brass"`: "c", `"Corwen KR-15"`: "e", `"kr 15"`: "e", `"platen jobber"`: "g",
		`"Dayton OH"`: "h", `"wood"`: "abcd", `"wood type" rule`: "c", `"wood type" "brass rule"`: "c", `"the"`: "!", `"great primer"`: "", `“wood type”`: "acd",
	} {
		result, err := x.Search(context.Background(), Query{Filter: wordsAlone(words), Limit: 10})
		if err != nil {
			if want != "!" {
				t.Errorf("%s: %v", words, err)
			}
			continue
		}
		var got []string
		for _, hit := range result.Hits {
			got = append(got, strings.TrimPrefix(hit.Name, "shops/s/lots/"))
		}
		slices.Sort(got)
		if strings.Join(got, "") != want {
			t.Errorf("%s finds %v, not %s", words, got, want)
		}
	}
	told, err := x.Relax(context.Background(), wordsAlone(`"rule brass"`))
	if err != nil || len(told) == 0 || told[0].Description != "with the quoted words apart" || told[0].More != 1 {
		t.Errorf("relaxed to %v, %v", told, err)
	}
}

// What is quoted is not understood as anything but words.
func TestQuotedWordsAreNotUnderstood(t *testing.T) {
	u := Understand(wordsAlone(`"press near Dayton OH" under 500 lb "wood type"`))
	if u.Filter.GetWords() != `"press near Dayton OH" "wood type"` || u.Sentence() != `Understood as "press near Dayton OH" "wood type", weighing at most 500 lb.` {
		t.Errorf("%s: %s", u.Filter.GetWords(), u.Sentence())
	}
	if u := Understand(wordsAlone(`near Dayton OH "wood type"`)); u.Filter.GetWords() != `"wood type"` || u.Filter.GetNear().GetPlace() != "Dayton, OH" {
		t.Errorf("%v", u.Filter)
	}
}
