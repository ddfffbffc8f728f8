package gaz

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestKey(t *testing.T) {
	tests := []struct{ name, key string }{
		{"Dayton", "dayton"},
		{"St. Mary’s", "stmarys"},
		{"Saint Marys", "stmarys"},
		{"Sault Sainte-Marie", "saultstmarie"},
		{"Sankt Pölten", "stpolten"},
		{"Mount Vernon", "mtvernon"},
		{"Ft. Worth", "ftworth"},
		{"Mountain View", "mountainview"},
		{"Saintes", "saintes"},
		{"O'Fallon", "ofallon"},
		{"Winston-Salem", "winstonsalem"},
		{"100 Mile House", "100milehouse"},
		{"Łódź", "lodz"},
		{"Weißenfels", "weissenfels"},
		{"Þorlákshöfn", "thorlakshofn"},
		{"Ærøskøbing", "aeroskobing"},
		{"Ko\u0308ln", "koln"},
		{"İzmir", "izmir"},
		{"Москва", "москва"},
		{" - ,.", ""},
		{"\xff\x80", ""},
		{"", ""},
	}
	for _, test := range tests {
		if got := Key(test.name); got != test.key {
			t.Errorf("Key(%q) is %q, want %q", test.name, got, test.key)
		}
	}
}

func TestWords(t *testing.T) {
	want := []string{"st", "louis", "mo"}
	for _, text := range []string{"St. Louis MO", "SAINT-LOUIS  (MO)", "st.louis/mo"} {
		if got := Words(text); !slices.Equal(got, want) {
			t.Errorf("Words(%q) are %q", text, got)
		}
	}
}

func TestFoldingIsSettled(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.OneOf(rapid.String(), rapid.StringOf(rapid.RuneFrom([]rune("Saint Ste.Mount'öØßéłA-0")))).Draw(t, "name")
		if key, joined := Key(name), strings.Join(Words(name), ""); key != joined {
			t.Fatalf("Key(%q) is %q, but its words make %q", name, key, joined)
		}
		if words := Words(name); !slices.Equal(Words(strings.Join(words, " ")), words) {
			t.Fatalf("the words of %q fold on, from %q", name, words)
		}
	})
}
