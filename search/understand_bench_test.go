package search

import (
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

// BenchmarkUnderstand reads ordinary searches, and such as name what no town is
// called.
func BenchmarkUnderstand(b *testing.B) {
	for _, words := range []string{
		"platen jobber", "treadle press within 200 miles of Toledo under 1500 lb", "platen near Xyzzyton", "press near Marrowby Vale with rollers and motor",
		"wood type in good order from the old mill", "press in Ohio", "press near Dayton OH that takes a 12x18 sheet under $2,000", "press near Springfield", "near Ohio",
		"24 point gothic fount complete with cases",
	} {
		b.Run(words, func(b *testing.B) {
			f := &pb.LotFilter{Words: words}
			for b.Loop() {
				Understand(f)
			}
		})
	}
}
