package pages

import (
	"fmt"
	"image"
	"image/color"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	zxqr "github.com/makiuchi-d/gozxing/qrcode"
	"pgregory.net/rapid"
)

// raster draws a code, eight points a module.
func raster(t interface{ Fatal(...any) }, c code) image.Image {
	const each = 8
	img := image.NewGray(image.Rect(0, 0, c.Size*each, c.Size*each))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for part := range strings.SplitSeq(strings.Trim(c.Path, "M"), "M") {
		var x, y int
		if _, err := fmt.Sscanf(part, "%d %dh1v1h-1z", &x, &y); err != nil {
			t.Fatal(err)
		}
		for i := range each * each {
			img.SetGray(x*each+i%each, y*each+i/each, color.Gray{})
		}
	}
	return img
}

// Every code is read back by another library, a port of ZXing, as the drawing that it
// is: without looking for it in a picture, at which that port now and then fails.
func TestCodesAreRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`https?://[a-z0-9.-]{1,60}(:[0-9]{1,5})?/shops/[a-z0-9-]{1,90}`).Draw(t, "address")
		c, err := codeOf(text)
		if err != nil {
			t.Fatal(err)
		}
		bitmap, err := gozxing.NewBinaryBitmapFromImage(raster(t, c))
		if err != nil {
			t.Fatal(err)
		}
		got, err := zxqr.NewQRCodeReader().Decode(bitmap, map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_PURE_BARCODE: true})
		if err != nil || got.GetText() != text {
			t.Fatalf("%q is read as %v, %v", text, got, err)
		}
	})
}
