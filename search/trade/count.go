package trade

import "fmt"

// FormatCount writes a number of things in words: "1 lot", "2 lots".
func FormatCount(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}
