package photo

import (
	"bytes"
	"time"

	"github.com/bep/imagemeta"
)

// mostRead is how long reading a file's tags may take: they are a few hundred
// bytes, unless somebody has made them to be more.
const mostRead = 2 * time.Second

// orientation is what a file's EXIF says of how it is to be looked at; 1, which is
// as it stands, if it says nothing that can be read.
func orientation(f Format, file []byte) int {
	found := 1
	format := imagemeta.JPEG
	if f == PNG {
		format = imagemeta.PNG
	}
	_, err := imagemeta.Decode(imagemeta.Options{
		R: bytes.NewReader(file), ImageFormat: format, Sources: imagemeta.EXIF, Timeout: mostRead,
		ShouldHandleTag: isOrientation,
		HandleTag: func(tag imagemeta.TagInfo) error {
			if n, is := tag.Value.(uint16); is {
				found = int(n)
			}
			return imagemeta.ErrStopWalking
		},
	})
	if err != nil {
		return 1
	}
	return found
}

func isOrientation(tag imagemeta.TagInfo) bool {
	return tag.Namespace == "IFD0" && tag.Tag == "Orientation"
}
