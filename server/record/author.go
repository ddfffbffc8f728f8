package record

import (
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	"heirpress/server/store"
)

// authorField is the number, reserved in Lot and Shop, under which a body says who
// wrote it. It follows the message, is read by Author alone, and is in no message
// that is read from the record: a stranger who is answered a lot is not told.
const authorField = 1000

// Signed is a message as a record keeps it, with who wrote it: an account, a code, or
// nobody, where there are no accounts. What the message may have under the number
// itself does not count.
func Signed(m proto.Message, author string) ([]byte, error) {
	body, err := Body(m)
	return Sign(body, author), err
}

// Sign is a body that somebody else has written again, whoever did before.
func Sign(body []byte, author string) []byte {
	body = protowire.AppendTag(body, authorField, protowire.BytesType)
	return protowire.AppendString(body, author)
}

// Author is who wrote a record, empty where nobody is said.
func Author(r store.Record) string {
	author := ""
	for body := r.Body; len(body) > 0; {
		number, kind, n := protowire.ConsumeTag(body)
		if n < 0 {
			return author
		}
		size := protowire.ConsumeFieldValue(number, kind, body[n:])
		if size < 0 {
			return author
		}
		if number == authorField && kind == protowire.BytesType {
			if text, ok := protowire.ConsumeString(body[n:]); ok >= 0 {
				author = text
			}
		}
		body = body[n+size:]
	}
	return author
}
