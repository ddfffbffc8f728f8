package trade

import "fmt"

// ParseError says that a text could not be read, and what would be right.
type ParseError struct {
	// Text is what was given.
	Text string
	// What is what it should have been: "a size", "a weight".
	What string
	// Fix says what is wrong with it or how to write it.
	Fix string
}

// Error reads as one sentence: "10xx15" is not a size: write it as 10x15.
func (e *ParseError) Error() string {
	return fmt.Sprintf("%q is not %s: %s", e.Text, e.What, e.Fix)
}

// misread makes a ParseError; the fix is a format.
func misread(text, what, fix string, args ...any) error {
	return &ParseError{Text: text, What: what, Fix: fmt.Sprintf(fix, args...)}
}
