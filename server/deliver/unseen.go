package deliver

import "unicode"

// unseen tells spaces, control characters, the signs that end a line or a
// paragraph, and those that turn the direction of writing.
func unseen(r rune) bool {
	return unicode.IsSpace(r) || unicode.IsControl(r) || unicode.In(r, unicode.Zl, unicode.Zp, unicode.Cf)
}
