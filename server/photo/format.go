package photo

import (
	"bytes"
	"image"
	"image/jpeg"
	"image/png"
	"io"
)

// Format is how a picture file is written.
type Format string

// The formats that are taken.
const (
	JPEG Format = "image/jpeg"
	PNG  Format = "image/png"
)

// The first bytes of files: ITU-T T.81, B.1.1.3 (SOI, and the first byte of the
// marker after it); PNG (Third Edition), 5.2.
var (
	jpegBegins = []byte{0xff, 0xd8, 0xff}
	pngBegins  = []byte("\x89PNG\r\n\x1a\n")
)

// HeadBytes is how much of a file FormatOf needs.
const HeadBytes = 12

// heifBrands are the major brands of files in the ISO base media format (ISO/IEC
// 14496-12, the file type box) that hold still pictures: of HEIC, HEIF and AVIF.
var heifBrands = map[string]bool{
	"heic": true, "heix": true, "heim": true, "heis": true, "hevc": true, "hevx": true,
	"mif1": true, "msf1": true, "avif": true, "avis": true,
}

// FormatOf tells the format of a file from its first bytes, whatever its name says.
// It returns a *RefusedError for one that is not taken.
func FormatOf(head []byte) (Format, error) {
	switch {
	case bytes.HasPrefix(head, jpegBegins):
		return JPEG, nil
	case bytes.HasPrefix(head, pngBegins):
		return PNG, nil
	case len(head) >= HeadBytes && string(head[4:8]) == "ftyp" && heifBrands[string(head[8:12])]:
		return "", refused("is HEIC or a relative of it, as some telephones write, which is not taken: export it as JPEG, or set the camera to JPEG (\"most compatible\") and take it again")
	}
	return "", refused("is neither JPEG nor PNG: save it as JPEG")
}

func (f Format) decode(r io.Reader) (image.Image, error) {
	if f == PNG {
		return png.Decode(r)
	}
	return jpeg.Decode(r)
}

func (f Format) config(r io.Reader) (image.Config, error) {
	if f == PNG {
		return png.DecodeConfig(r)
	}
	return jpeg.DecodeConfig(r)
}
