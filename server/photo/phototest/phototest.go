// Package phototest makes picture files for tests, with what cameras put into them.
package phototest

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
)

// Camera is a make that is planted in the EXIF of files, to be found again.
const Camera = "Plantedcam"

// Corners is a picture of w by h whose quarters are red, green, blue and white, from
// the top left to the bottom right.
func Corners(w, h int) image.Image {
	p := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			p.Set(x, y, Quarters[y*2/h][x*2/w])
		}
	}
	return p
}

// Quarters are the colours of Corners, by row and column.
var Quarters = [2][2]color.RGBA{
	{{R: 255, A: 255}, {G: 255, A: 255}},
	{{B: 255, A: 255}, {R: 255, G: 255, B: 255, A: 255}},
}

// JPEG is a picture as a camera writes it: with an APP1 segment of EXIF that has the
// orientation, the camera and the place, 45.5 degrees north and 122.5 west. With
// orientation 0 it has none.
func JPEG(p image.Image, orientation uint16) []byte {
	var out bytes.Buffer
	if err := jpeg.Encode(&out, p, &jpeg.Options{Quality: 95}); err != nil {
		panic(err) // only for pictures that are too large
	}
	if orientation == 0 {
		return out.Bytes()
	}
	exif := append([]byte("Exif\x00\x00"), tiff(orientation)...)
	segment := binary.BigEndian.AppendUint16([]byte{0xff, 0xe1}, uint16(len(exif)+2))
	comment := []byte("\xff\xfe\x00\x0c" + Camera) // COM: two bytes of length, and ten of text
	return bytes.Join([][]byte{out.Bytes()[:2], segment, exif, comment, out.Bytes()[2:]}, nil)
}

// PNG is the same as a PNG, with EXIF in a chunk eXIf and the camera in one of text.
func PNG(p image.Image, orientation uint16) []byte {
	var out bytes.Buffer
	if err := png.Encode(&out, p); err != nil {
		panic(err)
	}
	if orientation == 0 {
		return out.Bytes()
	}
	const head = 8 + 4 + 4 + 13 + 4 // signature and IHDR
	return bytes.Join([][]byte{
		out.Bytes()[:head], chunk("eXIf", tiff(orientation)), chunk("tEXt", []byte("Source\x00"+Camera)), out.Bytes()[head:],
	}, nil)
}

func chunk(kind string, body []byte) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	out = append(append(out, kind...), body...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}

// An entry is one of an image file directory of TIFF 6.0: tag, type, count, value or
// offset.
type entry struct {
	tag, kind uint16
	n, value  uint32
}

// The types of entries.
const (
	ascii    = 2
	short    = 3
	long     = 4
	rational = 5
)

// tiff is EXIF with an IFD0 of three entries and a GPS IFD of four, the values that
// do not fit in an entry after them.
func tiff(orientation uint16) []byte {
	const (
		ifd0   = 8
		gps    = ifd0 + 2 + 3*12 + 4
		values = gps + 2 + 4*12 + 4
		camera = values + 2*3*8
	)
	out := []byte("II*\x00")
	out = binary.LittleEndian.AppendUint32(out, ifd0)
	out = directory(out,
		entry{0x010f, ascii, uint32(len(Camera) + 1), camera}, entry{0x0112, short, 1, uint32(orientation)}, entry{0x8825, long, 1, gps})
	out = directory(out,
		entry{1, ascii, 2, 'N'}, entry{2, rational, 3, values}, entry{3, ascii, 2, 'W'}, entry{4, rational, 3, values + 24})
	for _, n := range []uint32{45, 1, 30, 1, 0, 1, 122, 1, 30, 1, 0, 1} { // degrees, minutes, seconds
		out = binary.LittleEndian.AppendUint32(out, n)
	}
	return append(out, Camera+"\x00"...)
}

func directory(out []byte, entries ...entry) []byte {
	out = binary.LittleEndian.AppendUint16(out, uint16(len(entries)))
	for _, e := range entries {
		out = binary.LittleEndian.AppendUint16(out, e.tag)
		out = binary.LittleEndian.AppendUint16(out, e.kind)
		out = binary.LittleEndian.AppendUint32(out, e.n)
		out = binary.LittleEndian.AppendUint32(out, e.value)
	}
	return binary.LittleEndian.AppendUint32(out, 0)
}
