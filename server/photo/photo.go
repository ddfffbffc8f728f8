package photo

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"

	"golang.org/x/image/draw"
)

// What a photo may have.
const (
	// MostBytes is the largest file that is taken.
	MostBytes = 32 << 20
	// MostPixels is the largest picture that is taken: width times height.
	MostPixels = 25_000_000
	// LongestSide is the longest side of what is kept, in pixels.
	LongestSide = 3000
	// ThumbnailSide is the longest side of a thumbnail, in pixels.
	ThumbnailSide = 320
)

const (
	fullQuality      = 88 // of 100, as JPEG goes
	thumbnailQuality = 80
)

// Made is what is kept of a file.
type Made struct {
	// Format is the file's, and that of Full. Thumbnail is always JPEG.
	Format Format
	// Width and Height are those of Full, in pixels.
	Width, Height   int
	Full, Thumbnail []byte
}

// A RefusedError says why a file is not taken, and what would be.
type RefusedError struct{ Reason string }

// Error is a sentence without its subject, the file.
func (e *RefusedError) Error() string { return e.Reason }

func refused(format string, args ...any) error {
	return &RefusedError{Reason: fmt.Sprintf(format, args...)}
}

// Make makes of a file what is kept. It returns a *RefusedError for a file that is
// not taken.
func Make(file []byte) (*Made, error) {
	if len(file) > MostBytes {
		return nil, refused("has %d bytes: at most %d", len(file), MostBytes)
	}
	format, err := FormatOf(file)
	if err != nil {
		return nil, err
	}
	if err := mayDecode(format, file); err != nil {
		return nil, err
	}
	picture, err := format.decode(bytes.NewReader(file))
	if err != nil {
		return nil, refused("cannot be read to its end (%v): copy it again from where it was taken", err)
	}
	full := turned(fitted(picture, LongestSide), orientation(format, file))
	made := &Made{Format: format, Width: full.Rect.Dx(), Height: full.Rect.Dy()}
	if made.Full, err = encode(format, full); err != nil {
		return nil, err
	}
	made.Thumbnail, err = thumbnail(full)
	return made, err
}

// mayDecode refuses a file that says it has too many pixels. Decoders believe what
// it says, so that it cannot have more.
func mayDecode(f Format, file []byte) error {
	c, err := f.config(bytes.NewReader(file))
	if err != nil {
		return refused("cannot be read (%v): copy it again from where it was taken", err)
	}
	if c.Width <= 0 || c.Height <= 0 {
		return refused("has no pixels")
	}
	if n := int64(c.Width) * int64(c.Height); n > MostPixels {
		return refused("has %d x %d pixels, %d million: at most %d million; save a smaller copy", c.Width, c.Height, n/1_000_000, MostPixels/1_000_000)
	}
	return nil
}

// fitted is a picture in memory of its own, with no side longer than longest. It is
// halved as often as that goes, each pixel the mean of four, and brought to its size
// in a last step of less than that: a finer filter would take hundreds of megabytes.
func fitted(p image.Image, longest int) *image.RGBA {
	w, h := fit(p.Bounds().Dx(), p.Bounds().Dy(), longest)
	for max(p.Bounds().Dx(), p.Bounds().Dy()) > 2*longest {
		p = scaled(p, max(1, p.Bounds().Dx()/2), max(1, p.Bounds().Dy()/2))
	}
	return scaled(p, w, h)
}

func scaled(p image.Image, w, h int) *image.RGBA {
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.ApproxBiLinear.Scale(out, out.Rect, p, p.Bounds(), draw.Src, nil)
	return out
}

// fit is the largest size of the same shape with no side longer than longest; no
// larger than it was, and at least a pixel wide and high.
func fit(w, h, longest int) (int, int) {
	side := max(w, h)
	if side <= longest {
		return w, h
	}
	scale := func(n int) int { return max(1, (n*longest+side/2)/side) }
	return scale(w), scale(h)
}

func encode(f Format, p *image.RGBA) ([]byte, error) {
	var out bytes.Buffer
	if f == PNG {
		err := png.Encode(&out, p)
		return out.Bytes(), err
	}
	err := jpeg.Encode(&out, p, &jpeg.Options{Quality: fullQuality})
	return out.Bytes(), err
}

// thumbnail is a small JPEG; what can be seen through is white in it.
func thumbnail(p *image.RGBA) ([]byte, error) {
	small := fitted(p, ThumbnailSide)
	opaque := image.NewRGBA(small.Rect)
	draw.Draw(opaque, opaque.Rect, image.NewUniform(color.White), image.Point{}, draw.Src)
	draw.Draw(opaque, opaque.Rect, small, image.Point{}, draw.Over)
	var out bytes.Buffer
	err := jpeg.Encode(&out, opaque, &jpeg.Options{Quality: thumbnailQuality})
	return out.Bytes(), err
}
