package sheet

import "strings"

// guard makes a cell safe in a spreadsheet, which takes a cell that begins with
// = + - @, a tab or a return for a formula and runs it. Such a cell gets an
// apostrophe before it, and so does one that begins with apostrophes and then
// one of these, so that unguard takes exactly one off and gives back the cell
// that was. A cell such as 'tis is left alone by both.
func guard(cell string) string {
	if startsFormula(strings.TrimLeft(cell, "'")) {
		return "'" + cell
	}
	return cell
}

// unguard undoes guard.
func unguard(cell string) string {
	if strings.HasPrefix(cell, "'") && startsFormula(strings.TrimLeft(cell, "'")) {
		return cell[1:]
	}
	return cell
}

func startsFormula(s string) bool {
	return s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0]))
}
