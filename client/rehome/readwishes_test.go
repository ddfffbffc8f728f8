package rehome

import (
	"errors"
	"reflect"
	"strings"
	"testing"
)

func TestReadWishes(t *testing.T) {
	got, err := ReadWishes("wishes.yaml", strings.NewReader(`
whole: prefer
whole_offers: [{list: Stoats, trips: 3}]
together:
  - {lots: [C1, C2], must: yes}
  - {lots: [S1, S2, S3], points: 12}
prefer: [School, {list: Printer, points: 5}]
seekers: [{list: Spare room, budget: "$500", trips: 2}]
home_points: 40
least_fit: 20
hired_help: no
`), "USD")
	if err != nil {
		t.Fatal(err)
	}
	home := int64(40)
	want := Wishes{
		Whole: WholePreferred, WholePoints: usualWhole, WholeOffers: []WholeOffer{{"Stoats", 3}},
		Together: []Together{{[]string{"C1", "C2"}, true, usualTogether}, {[]string{"S1", "S2", "S3"}, false, 12}},
		Prefer:   []Prefer{{"School", usualPrefer}, {"Printer", 5}},
		Limits:   []Limit{{"Spare room", dollars(500), 2}}, HomePoints: &home, LeastFit: 20, OwnKitOnly: true,
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%+v\nwant %+v", got, want)
	}
	if empty, err := ReadWishes("empty.yaml", strings.NewReader(""), "USD"); err != nil || !reflect.DeepEqual(empty, Wishes{}) {
		t.Errorf("an empty file: %+v, %v", empty, err)
	}
}

func TestWrongWishFiles(t *testing.T) {
	for _, c := range []struct{ file, want string }{
		{"whole: half", "w.yaml: line 1, key whole: write only, prefer or either"},
		{"whole: [only]", "key whole: write a text here"},
		{"whoel: only", "key whoel: is not a key here: the keys are whole, whole_points, "},
		{"whole: only\nwhole: only", "line 2, key whole: is here twice"},
		{"[1, 2]", "line 1: write keys with values here: whole, "},
		{"together: C1", "key together: write a list here"},
		{"together: [{lots: [C1]}]", "key lots: name two lots or more"},
		{"together: [{lots: [C1, C2], must: perhaps}]", "key must: write yes or no"},
		{"together: [{lots: [C1, C2], points: many}]", `key points: "many" is no number of points: write 0 to 10000`},
		{"together: [{tags: [C1, C2]}]", "key tags: is not a key here: the keys are lots, must, points"},
		{"prefer: [{points: 3}]", "key list: is missing: give the title"},
		{"seekers: [{list: A, budget: lots}]", "key budget: "},
		{"seekers: [{list: A, trips: 0}]", `key trips: "0" is no number of trips`},
		{"home_points: -1", "key home_points: "},
		{"least_fit: 101", `key least_fit: "101" is no fit: write 0 to 100`},
		{"least_fit: NaN", "is no fit"},
		{"hired_help: some", "key hired_help: write yes or no"},
		{"a: &x 1\nwhole: *x", "an alias cannot be used here"},
		{"whole: [", "is not YAML: "},
		{strings.Repeat("#", maxWishBytes+1), "is larger than 1 MiB"},
	} {
		_, err := ReadWishes("w.yaml", strings.NewReader(c.file), "USD")
		var wrong *FileError
		if !errors.As(err, &wrong) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.40s: %v, want %q", c.file, err, c.want)
		}
	}
}

func FuzzReadWishes(f *testing.F) {
	f.Add("whole: only\ntogether: [{lots: [a, b], must: yes}]\nprefer: [x]\nseekers: [{list: a, budget: 3}]")
	f.Fuzz(func(t *testing.T, text string) {
		w, err := ReadWishes("w.yaml", strings.NewReader(text), "USD")
		for _, g := range w.Together {
			if err == nil && len(g.Tags) < 2 {
				t.Fatalf("%q: %v go together", text, g.Tags)
			}
		}
	})
}
