package sheet

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func tagsOf(s *Sheet) []string {
	var all []string
	for _, r := range s.Lots {
		all = append(all, r.Lot.GetTag())
	}
	return all
}

func TestMadeTags(t *testing.T) {
	const head = "tag,title,make,size,price\n"
	first := readString(t, "x.csv", head+",Composing stick,Corwen,10 in,$5\nT1,Mallet,,,\n,composing  STICK,corwen,10in,\n,Planer,,,\n")
	tags := tagsOf(first)
	for i, want := range []bool{true, false, true, true} {
		if r := first.Lots[i]; r.TagMade != want || want && !regexp.MustCompile(`^U-[0-9A-HJKMNP-TV-Z]{6}$`).MatchString(r.Lot.GetTag()) {
			t.Errorf("row %d has tag %s, made %v", r.Number, r.Lot.GetTag(), r.TagMade)
		}
	}
	if tags[0] == tags[2] {
		t.Error("two rows share a tag")
	}
	// Another price, another order of other rows: the same tags.
	again := tagsOf(readString(t, "x.csv", head+",Planer,,,\n,Composing stick,Corwen,10 in,$9\n,Composing stick,Corwen,10 in,\n"))
	if got, want := strings.Join(again, " "), strings.Join([]string{tags[3], tags[0], tags[2]}, " "); got != want {
		t.Errorf("tags %s, want %s", got, want)
	}
	// YAML gives the same row the same tag.
	yaml := readString(t, "x.yaml", "lots:\n- {title: Planer}\n")
	if tagsOf(yaml)[0] != tags[3] {
		t.Errorf("in YAML the tag is %s", tagsOf(yaml)[0])
	}
}

func TestMadeTagGivesWay(t *testing.T) {
	made := tagsOf(readString(t, "x.csv", "title\nPlaner\n"))[0]
	s := readString(t, "x.csv", "tag,title\n,Planer\n"+strings.ToLower(made)+",Mallet\n")
	if got := tagsOf(s)[0]; len(got) != len(made)+1 || !strings.HasPrefix(got, made) {
		t.Errorf("the tag is %s beside %s", got, made)
	}
}

// A row that was bad comes back from the rejected file with the tag that it would
// have had, even if rows before it said the same.
func TestRejectedRowsKeepTheirTags(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		titles := rapid.SliceOfN(rapid.SampledFrom([]string{"Stick", "Planer"}), 1, 8).Draw(t, "titles")
		var right, wrong strings.Builder
		for _, b := range []*strings.Builder{&right, &wrong} {
			b.WriteString("title,price\n")
		}
		var bad []int
		for i, title := range titles {
			fmt.Fprintf(&right, "%s,5\n", title)
			if rapid.Bool().Draw(t, "bad") {
				bad = append(bad, i)
				fmt.Fprintf(&wrong, "%s,five\n", title)
			} else {
				fmt.Fprintf(&wrong, "%s,5\n", title)
			}
		}
		want := tagsOf(mustRead(t, "x.csv", right.String()))
		s := mustRead(t, "x.csv", wrong.String())
		var rejected strings.Builder
		if err := WriteRejected(&rejected, s); err != nil {
			t.Fatal(err)
		}
		back := mustRead(t, "x.csv", strings.ReplaceAll(rejected.String(), ",five", ",5"))
		got := tagsOf(back)
		if len(got) != len(bad) {
			t.Fatalf("%d rows came back of %d: %v\n%s", len(got), len(bad), problemsOf(back), rejected.String())
		}
		for i, at := range bad {
			if got[i] != want[at] {
				t.Fatalf("row %d came back as %s and was %s\n%s", at, got[i], want[at], rejected.String())
			}
		}
	})
}

func mustRead(t *rapid.T, name, body string) *Sheet {
	t.Helper()
	s, err := Read(name, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	return s
}
