package score

import (
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

func TestNameWants(t *testing.T) {
	wants := []*pb.Want{
		{Title: "A platen that prints 12x18"}, {Title: "a platen, that prints 12x18"}, {Id: "mine", Title: "Mine"}, {Title: "Mine"},
		{Title: "活字"}, {Title: strings.Repeat("very long ", 9)}, {},
	}
	NameWants(wants)
	for i, want := range []string{
		"a-platen-that-prints-12x18", "a-platen-that-prints-12x18-2", "mine", "mine-2", "want", "very-long-very-long-very-long-very-l", "want-2",
	} {
		if got := wants[i].GetId(); got != want {
			t.Errorf("want %d is called %q, not %q", i, got, want)
		}
	}
}
