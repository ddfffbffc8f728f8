package rigging

import (
	"fmt"
	"math"
	"strings"
)

// RangeError says that a figure cannot be worked with, and what would be right.
type RangeError struct {
	// What names the figure: "sling angle".
	What string
	// Value is what was given.
	Value float64
	// Want says what would be right.
	Want string
}

// Error reads: sling angle 20: must be …
func (e *RangeError) Error() string {
	return fmt.Sprintf("%s %g: %s", e.What, e.Value, e.Want)
}

// within returns a RangeError unless low <= v <= high; NaN is never within.
func within(what string, v, low, high float64) error {
	if v >= low && v <= high {
		return nil
	}
	want := fmt.Sprintf("must be from %g to %g", low, high)
	if math.IsInf(high, 1) || high == math.MaxFloat64 {
		want = fmt.Sprintf("must be a number, %g or more", low)
	}
	return &RangeError{what, v, want}
}

// firstError returns the first of the errors that is one.
func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// ScopeError says that a method does not apply, and why.
type ScopeError struct {
	// Method is the method.
	Method string
	// Reasons are what takes the case out of its scope.
	Reasons []string
}

// Error lists the reasons.
func (e *ScopeError) Error() string {
	return fmt.Sprintf("%s does not cover %s", e.Method, strings.Join(e.Reasons, ", "))
}
