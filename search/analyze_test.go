package search

import (
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

func TestAnalyze(t *testing.T) {
	cases := []struct{ text, want string }{
		// Model codes.
		{"KR15", "kr 15"}, {"kr 15", "kr 15"}, {"KR-15", "kr 15"}, {"No. 4", "no 4"}, {"N.S. 8x12", "newstyle 8x12"}, {"K.R. 18", "kr 18"}, {"K R 18", "kr 18"}, {"r x 18", "r x 18"}, {"#4", "no 4"}, {"Nr. 4", "no 4"}, {"number 4", "no 4"}, {"Mark II", "mk 2"}, {"# 4", "4"}, {"A-07", "a 7"}, {"25A 50a", "25 a 50 a"}, {"a 7", "7"}, {"7, a", "7"},
		{"K-R-15", "kr 15"}, {"k/r/15", "kr 15"}, {"K. R. 15", "kr 15"}, {"KR_15", "kr 15"}, {"n° 4", "no 4"}, {"Mark Two", "mk 2"}, {"Corwen-Halvorsen", "corwen halvorsen"},
		// Sizes.
		{"10x15", "10x15"}, {"10 x 15", "10x15"}, {"15 × 10 in", "10x15"}, {`10" x 15"`, "10x15"}, {"10 by 15", "10x15"},
		{"10in x 15in", "10x15"}, {"254x381mm", "10x15"}, {"254 x 381", "10x15"}, {"25.4 by 38.1 cm", "10x15"}, {"26x38 cm", "10.25x15"}, {"0x0", "0x0"}, {"2x4x6", "2x4x6"}, {"24x36x2", "2x24x36"},
		{"6½ x 10", "6.5x10"}, {"6 1/2 x 10", "6.5x10"}, {"6-1/2x10", "6.5x10"}, {"6.50 x 10", "6.5x10"}, {"½ in", "13mm"},
		{"2x KR15", "2 x kr 15"}, {"x", "x"}, {"10x", "10 x"},
		{"10*15", "10x15"}, {"five by eight", "5x8"}, {"5 by eight in", "5x8"}, {"one by one", "1x1"}, {"two by", "two"}, {"by five", "five"},
		// Numbers and units.
		{"half inch", "13mm"}, {"half an inch", "13mm"}, {"quarter inch", "6mm"}, {"half full", "half full"}, {"ninety line", "90line"}, {"24 didot", "24point"}, {"corps de 24", "24point"}, {"de 24", "24"}, {"two-line nonpareil", "12point"}, {"two line brevier", "16point"}, {"220V", "220volt"},
		{"60 line high", "60line"}, {"24 pt size", "24point"}, {"size 24", "size 24"}, {"type high", "typehigh"}, {"12 high", "12 high"},
		{"24pt", "24point"}, {"24 points", "24point"}, {"24-point", "24point"}, {"12 line", "12line"}, {"12ln.", "12line"}, {"12 pica", "12line"},
		{"10 inch", "254mm"}, {"ten-inch", "254mm"}, {"25.4 cm", "254mm"}, {"twenty-four point", "24point"}, {"one in oak", "one oak"}, {"corps 24", "24point"}, {"12 Zeilen", "12line"}, {"6 ft", "1829mm"},
		{"great primer", "18point"}, {"two-line great primer", "36point"}, {"double great primer", "36point"}, {"english", "english"}, {"pica", "pica"},
		{"KR15 in Toledo", "kr 15 toledo"}, {"1950 in Toledo", "1950 toledo"}, {"10 in wide", "254mm wide"},
		{"1,350 lbs", "1350lb"}, {"1,35", "1 35"}, {"1,3500", "1 3500"}, {"12,345,678", "12345678"}, {"007", "7"}, {"0", "0"}, {"3.00", "3"}, {"3.", "3"}, {"1/2/1950", "1 2 1950"},
		{"3/2", "3 2"}, {`10" wide`, "254mm wide"}, {`"Corwen"`, "corwen"}, {"12 Corwen", "12 corwen"},
		// Accents, compatibility forms and other letters.
		{"Ödegård", "odegard"}, {"presse à épreuves", "proof press"}, {"Tiegel", "platen press"}, {"marbre d’imposition", "imposing stone"}, {"l'encre", "ink"}, {"Straße", "strasse"}, {"ＫＲ１５", "kr 15"}, {"ﬁne", "fine"}, {"12㏋", "12 horsepower"}, {"Łódź", "lodz"}, {"10″ type", "254mm type"},
		// Plurals, and words that only look like them.
		{"presses", "press"}, {"chases", "chase"}, {"cases", "case"}, {"boxes", "box"}, {"galleys", "galley"}, {"bodies", "body"}, {"dies", "die"},
		{"brass", "brass"}, {"press", "press"}, {"apparatus", "apparatus"}, {"basis", "basis"}, {"casters", "caster"}, {"cutters", "cutter"}, {"sizes", "size"}, {"benches", "bench"}, {"gas", "gas"},
		{"printer's flowers", "printer flower"}, {"printers’", "printer"}, {"rock 'n' roll", "rock n roll"},
		// One spelling for each word of the trade.
		{"font", "fount"}, {"Founts", "fount"}, {"formes", "form"}, {"matrices", "mat"}, {"leading", "lead"}, {"table top", "tabletop"}, {"table-top", "tabletop"},
		{"line caster", "linecaster"}, {"line of casters", "linecaster"}, {"handpress", "hand press"}, {"cond. ital.", "condensed italic"},
		{"letter-press", "letterpress"}, {"typecase", "type case"}, {"casses d'imprimerie", "type case letterpress"}, {"caractères mobiles", "metal type"},
		// Words that say nothing.
		{"the press of a printer in Toledo", "press printer toledo"}, {"", ""}, {"?!", ""}, {"of the", ""},
	}
	for _, c := range cases {
		if got := strings.Join(Analyze(c.text), " "); got != c.want {
			t.Errorf("%q becomes %q, not %q", c.text, got, c.want)
		}
	}
}

// Tokens are what the index can keep: short, whole, and without case or blanks.
func FuzzAnalyze(f *testing.F) {
	for _, text := range []string{"KR-15, 10 × 15 in", "6½ x 10¼", "Ödegård's", "1,350 lb", "10″", strings.Repeat("é", 100), "x" + strings.Repeat("é", 100), "1/2 1/2/3 3/2", "''''", "1.1.1x2x3x4", "㏋"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		tokens := Analyze(text)
		for _, token := range tokens {
			if token == "" || len(token) > tokenLimit || (utf8.ValidString(text) && !utf8.ValidString(token)) {
				t.Fatalf("%q has the token %q", text, token)
			}
			if strings.ContainsFunc(token, unicode.IsSpace) || token != strings.ToLower(token) && fold(token) != token {
				t.Fatalf("%q has the token %q", text, token)
			}
		}
		if again := Analyze(text); !slices.Equal(again, tokens) {
			t.Fatalf("%q becomes %v and then %v", text, tokens, again)
		}
	})
}
