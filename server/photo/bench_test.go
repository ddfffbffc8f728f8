package photo_test

import (
	"image"
	"testing"

	"heirpress/server/photo"
	"heirpress/server/photo/phototest"
)

// A photo as large as is taken, and one as most telephones take.
func BenchmarkMake(b *testing.B) {
	for name, size := range map[string]image.Point{"24MP": {6000, 4000}, "12MP": {4000, 3000}} {
		p := image.NewRGBA(image.Rect(0, 0, size.X, size.Y))
		for i := range p.Pix {
			p.Pix[i] = byte(i*7+i/size.X) | 3
		}
		file := phototest.JPEG(p, 6)
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := photo.Make(file); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
