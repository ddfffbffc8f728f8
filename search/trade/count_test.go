package trade

import "testing"

func TestFormatCount(t *testing.T) {
	for n, want := range map[int]string{0: "0 lots", 1: "1 lot", 2: "2 lots", 1200: "1200 lots"} {
		if got := FormatCount(n, "lot"); got != want {
			t.Errorf("%d is %q, not %q", n, got, want)
		}
	}
}
