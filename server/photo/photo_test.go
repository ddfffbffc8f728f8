package photo_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"

	"github.com/bep/imagemeta"

	"heirpress/server/photo"
	"heirpress/server/photo/phototest"
)

var formats = map[photo.Format]func(image.Image, uint16) []byte{photo.JPEG: phototest.JPEG, photo.PNG: phototest.PNG}

// hasPlace tells whether a library that reads EXIF finds where a file was taken.
func hasPlace(t *testing.T, f photo.Format, file []byte) bool {
	t.Helper()
	format := imagemeta.JPEG
	if f == photo.PNG {
		format = imagemeta.PNG
	}
	var tags imagemeta.Tags
	_, err := imagemeta.Decode(imagemeta.Options{
		R: bytes.NewReader(file), ImageFormat: format, Sources: imagemeta.EXIF,
		ShouldHandleTag: func(imagemeta.TagInfo) bool { return true },
		HandleTag:       func(tag imagemeta.TagInfo) error { tags.Add(tag); return nil },
	})
	if err != nil {
		t.Fatal(err)
	}
	lat, long, err := tags.GetLatLong()
	return err == nil && lat == 45.5 && long == -122.5
}

// What a camera puts into a file is in nothing that is kept of it: the place that an
// EXIF reader finds in the file it finds no more, and by the formats' own rules
// there is no segment or chunk left that could hold one (ITU-T T.81, table B.1; PNG,
// 5.6).
func TestNothingButPixelsIsKept(t *testing.T) {
	for f, write := range formats {
		file := write(phototest.Corners(64, 48), 6)
		if !hasPlace(t, f, file) || !bytes.Contains(file, []byte(phototest.Camera)) {
			t.Fatalf("%s: nothing is planted: the test shows nothing", f)
		}
		made, err := photo.Make(file)
		if err != nil {
			t.Fatal(err)
		}
		if hasPlace(t, f, made.Full) || hasPlace(t, photo.JPEG, made.Thumbnail) {
			t.Errorf("%s: the place is kept", f)
		}
		for what, kept := range map[string][]byte{"picture": made.Full, "thumbnail": made.Thumbnail} {
			if bytes.Contains(kept, []byte(phototest.Camera)) {
				t.Errorf("%s: the %s names the camera", f, what)
			}
		}
		onlyPixels(t, f, made.Full)
		onlyPixels(t, photo.JPEG, made.Thumbnail)
	}
}

// onlyPixels reports segments or chunks that a picture does not need.
func onlyPixels(t *testing.T, f photo.Format, file []byte) {
	t.Helper()
	if f == photo.PNG {
		for at := 8; at < len(file); {
			n, kind := int(binary.BigEndian.Uint32(file[at:])), string(file[at+4:at+8])
			if !strings.Contains("IHDR PLTE tRNS IDAT IEND", kind) {
				t.Errorf("a chunk %s", kind)
			}
			at += 12 + n
		}
		return
	}
	for at := 2; at < len(file) && file[at+1] != 0xda; { // up to the start of the scan
		if m := file[at+1]; m >= 0xe0 && m <= 0xef || m == 0xfe {
			t.Errorf("a segment %#x", m)
		}
		at += 2 + int(binary.BigEndian.Uint16(file[at+2:]))
	}
}

// The corners of a picture stand where the EXIF tag Orientation (JEITA CP-3451; from
// memory) puts the first row and the first column: for 1 top and left, 2 top and
// right, 3 bottom and right, 4 bottom and left, 5 left and top, 6 right and top,
// 7 right and bottom, 8 left and bottom.
func TestOrientation(t *testing.T) {
	red, green, blue, white := phototest.Quarters[0][0], phototest.Quarters[0][1], phototest.Quarters[1][0], phototest.Quarters[1][1]
	looks := map[uint16][4]color.RGBA{ // top left, top right, bottom left, bottom right
		0: {red, green, blue, white},
		1: {red, green, blue, white},
		2: {green, red, white, blue},
		3: {white, blue, green, red},
		4: {blue, white, red, green},
		5: {red, blue, green, white},
		6: {blue, red, white, green},
		7: {white, green, blue, red},
		8: {green, white, red, blue},
		9: {red, green, blue, white},
	}
	for f, write := range formats {
		for orientation, want := range looks {
			made, err := photo.Make(write(phototest.Corners(64, 32), orientation))
			if err != nil {
				t.Fatal(err)
			}
			p, _, err := image.Decode(bytes.NewReader(made.Full))
			if err != nil {
				t.Fatal(err)
			}
			w, h := p.Bounds().Dx(), p.Bounds().Dy()
			if turned := orientation >= 5 && orientation <= 8; turned != (h > w) || w != made.Width || h != made.Height {
				t.Errorf("%s, orientation %d: %d x %d, said to be %d x %d", f, orientation, w, h, made.Width, made.Height)
			}
			for i, at := range []image.Point{{w / 4, h / 4}, {w * 3 / 4, h / 4}, {w / 4, h * 3 / 4}, {w * 3 / 4, h * 3 / 4}} {
				if got := p.At(at.X, at.Y); !near(got, want[i]) {
					t.Errorf("%s, orientation %d, corner %d: %v, want %v", f, orientation, i, got, want[i])
				}
			}
		}
	}
}

// near tells whether two colours are the same but for what JPEG loses.
func near(a, b color.Color) bool {
	r1, g1, b1, _ := a.RGBA()
	r2, g2, b2, _ := b.RGBA()
	off := func(a, b uint32) bool { return max(a, b)-min(a, b) < 0x1800 }
	return off(r1, r2) && off(g1, g2) && off(b1, b2)
}

func TestSizes(t *testing.T) {
	for _, c := range []struct{ w, h, fullW, fullH, thumbW, thumbH int }{
		{3200, 40, 3000, 38, 320, 4},
		{10, 3001, 10, 3000, 1, 320},
		{640, 480, 640, 480, 320, 240},
		{1, 1, 1, 1, 1, 1},
		{320, 1, 320, 1, 320, 1},
		{3000, 2, 3000, 2, 320, 1},
	} {
		made, err := photo.Make(phototest.PNG(image.NewGray(image.Rect(0, 0, c.w, c.h)), 0))
		if err != nil {
			t.Fatal(err)
		}
		full, err := png.DecodeConfig(bytes.NewReader(made.Full))
		if err != nil {
			t.Fatal(err)
		}
		thumb, err := jpeg.DecodeConfig(bytes.NewReader(made.Thumbnail))
		if err != nil {
			t.Fatal(err)
		}
		if full.Width != c.fullW || full.Height != c.fullH || thumb.Width != c.thumbW || thumb.Height != c.thumbH {
			t.Errorf("%d x %d: kept as %d x %d and %d x %d, want %v", c.w, c.h, full.Width, full.Height, thumb.Width, thumb.Height, c)
		}
	}
}

// What can be seen through stays so in a PNG, and is white in its thumbnail.
func TestTransparent(t *testing.T) {
	made, err := photo.Make(phototest.PNG(image.NewNRGBA(image.Rect(0, 0, 20, 20)), 0))
	if err != nil {
		t.Fatal(err)
	}
	full, err := png.Decode(bytes.NewReader(made.Full))
	if err != nil {
		t.Fatal(err)
	}
	if _, _, _, a := full.At(10, 10).RGBA(); a != 0 {
		t.Errorf("alpha is %d", a)
	}
	thumb, err := jpeg.Decode(bytes.NewReader(made.Thumbnail))
	if err != nil || !near(thumb.At(10, 10), color.White) {
		t.Errorf("thumbnail %v, %v", thumb, err)
	}
}

// saying is a PNG that says it has so many pixels, and has hardly any bytes.
func saying(w, h uint32) []byte {
	ihdr := binary.BigEndian.AppendUint32([]byte("IHDR"), w)
	ihdr = append(binary.BigEndian.AppendUint32(ihdr, h), 8, 2, 0, 0, 0)
	out := append([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x0d"), ihdr...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(ihdr))
}

func TestRefused(t *testing.T) {
	bomb := phototest.JPEG(phototest.Corners(16, 16), 0)
	sof := bytes.Index(bomb, []byte{0xff, 0xc0}) // the frame header: length, precision, height, width
	copy(bomb[sof+5:], []byte{0xff, 0xff, 0xff, 0xff})
	whole := phototest.JPEG(phototest.Corners(64, 64), 1)
	for name, c := range map[string]struct {
		file []byte
		says string
	}{
		"nothing":          {nil, "neither JPEG nor PNG"},
		"a text":           {[]byte("a platen jobber, 10x15"), "neither JPEG nor PNG"},
		"HEIC":             {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00"), "export it as JPEG"},
		"AVIF":             {[]byte("\x00\x00\x00\x18ftypavif\x00\x00\x00\x00"), "export it as JPEG"},
		"a film":           {[]byte("\x00\x00\x00\x18ftypisom\x00\x00\x00\x00"), "neither JPEG nor PNG"},
		"a PNG that bombs": {saying(60_000, 60_000), "3600 million: at most 25 million"},
		"one too large":    {saying(5_001, 5_000), "at most 25 million"},
		"a JPEG bomb":      {bomb, "65535 x 65535 pixels"},
		"a PNG cut off":    {saying(100, 100), "cannot be read to its end"},
		"a JPEG cut off":   {whole[:len(whole)/2], "cannot be read"},
		"only a head":      {[]byte{0xff, 0xd8, 0xff}, "cannot be read"},
		"too many bytes":   {append([]byte{0xff, 0xd8, 0xff}, make([]byte, photo.MostBytes)...), "at most 33554432"},
	} {
		made, err := photo.Make(c.file)
		var why *photo.RefusedError
		if !errors.As(err, &why) || !strings.Contains(why.Reason, c.says) {
			t.Errorf("%s: %v, %v; want %q", name, made, err, c.says)
		}
	}
}

// Whatever the bytes are, what is made of them can be read, is no larger than it
// may be, and has nothing but pixels in it.
func FuzzMake(f *testing.F) {
	for orientation := range uint16(10) {
		f.Add(phototest.JPEG(phototest.Corners(12, 8), orientation))
		f.Add(phototest.PNG(phototest.Corners(12, 8), orientation))
	}
	f.Add(saying(60_000, 60_000))
	f.Add([]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00"))
	f.Fuzz(func(t *testing.T, file []byte) {
		made, err := photo.Make(file)
		if err != nil {
			if why := new(photo.RefusedError); !errors.As(err, &why) {
				t.Errorf("not a refusal: %v", err)
			}
			return
		}
		c, _, err := image.DecodeConfig(bytes.NewReader(made.Full))
		if err != nil || c.Width != made.Width || c.Height != made.Height || max(c.Width, c.Height) > photo.LongestSide {
			t.Errorf("%v, %v", c, err)
		}
		onlyPixels(t, made.Format, made.Full)
		onlyPixels(t, photo.JPEG, made.Thumbnail)
	})
}
