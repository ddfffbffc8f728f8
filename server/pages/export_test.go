package pages

// CodeOf is the path of a QR code, for tests from outside.
func CodeOf(text string) (string, error) {
	c, err := codeOf(text)
	return c.Path, err
}
