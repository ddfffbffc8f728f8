package sheet

import (
	"fmt"
	"strings"
)

// Problem is one thing that is wrong in a file, and what would be right.
type Problem struct {
	// Number is the row of a table or the line of a YAML file, from 1 as a
	// person counts; 0 is the file as a whole.
	Number int
	// Line is true where Number counts lines and Column is a key.
	Line bool
	// Column is the column or key. Empty: the row as a whole.
	Column string
	// Value is what was written there.
	Value string
	// Message says what is wrong and what would be right.
	Message string
}

// Error is the problem in a line: where it is, and the message.
func (p Problem) Error() string {
	var at []string
	if p.Number > 0 {
		at = append(at, where(p.Number, p.Line))
	}
	if p.Column != "" && p.Line {
		at = append(at, "key "+p.Column)
	} else if p.Column != "" {
		at = append(at, "column "+p.Column)
	}
	if len(at) == 0 {
		return p.Message
	}
	return strings.Join(at, ", ") + ": " + p.Message
}

// where says "row 7", or "line 7".
func where(number int, line bool) string {
	if line {
		return fmt.Sprintf("line %d", number)
	}
	return fmt.Sprintf("row %d", number)
}

// Problems is everything that is wrong in a file that cannot be read for it.
type Problems []Problem

// Error lists the problems, one a line.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// or returns the problems as an error, or nil if there are none.
func (ps Problems) or() error {
	if len(ps) == 0 {
		return nil
	}
	return ps
}
