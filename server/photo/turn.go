package photo

import "image"

// turned is a picture as it is to be looked at, for the EXIF tag Orientation
// (JEITA CP-3451; tag 274 of TIFF 6.0; from memory): 1 as it is, 2 mirrored left to
// right, 3 turned by 180 degrees, 4 mirrored top to bottom, 5 mirrored along the
// falling diagonal, 6 to be turned clockwise, 7 mirrored along the rising diagonal,
// 8 to be turned anticlockwise. Any other number is 1.
func turned(p *image.RGBA, orientation int) *image.RGBA {
	w, h := p.Rect.Dx(), p.Rect.Dy()
	to := places(w, h)[orientation]
	if to == nil {
		return p
	}
	if orientation >= 5 {
		w, h = h, w
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range p.Rect.Dy() {
		for x := range p.Rect.Dx() {
			at, from := out.PixOffset(to(x, y)), p.PixOffset(x, y)
			copy(out.Pix[at:at+4], p.Pix[from:from+4])
		}
	}
	return out
}

// places is where a pixel at x, y of a picture of w by h goes, by orientation.
func places(w, h int) map[int]func(x, y int) (int, int) {
	return map[int]func(x, y int) (int, int){
		2: func(x, y int) (int, int) { return w - 1 - x, y },
		3: func(x, y int) (int, int) { return w - 1 - x, h - 1 - y },
		4: func(x, y int) (int, int) { return x, h - 1 - y },
		5: func(x, y int) (int, int) { return y, x },
		6: func(x, y int) (int, int) { return h - 1 - y, x },
		7: func(x, y int) (int, int) { return h - 1 - y, w - 1 - x },
		8: func(x, y int) (int, int) { return y, w - 1 - x },
	}
}
