package place

import (
	"strings"
	"testing"
)

func TestCanadianCode(t *testing.T) {
	for text, want := range map[string]string{
		"K7L 3N6": "Ontario", "k7l3n6": "Ontario", "K7L-3N6": "Ontario", "T2P": "Alberta", "Y1A 1A1": "Yukon",
		"D1A 1A1": "", "W1A 1AA": "", "K7L 3N": "", "LS1": "", "K77": "", "": "", "Ada": "", "4AP": "",
	} {
		if got, ok := canadianCode(text); got != want || ok != (want != "") {
			t.Errorf("%q is of %q, %v, want %q", text, got, ok, want)
		}
	}
	_, err := Find("K7L 3N6")
	if err == nil || !strings.Contains(err.Error(), "of Ontario") || !strings.Contains(err.Error(), "Name a town") {
		t.Errorf("a Canadian code: %v", err)
	}
}
