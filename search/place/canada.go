package place

import "strings"

// canadianCode reads a whole text as a Canadian postal code, or the first half
// of one, and tells in which province or territory it is.
func canadianCode(text string) (province string, ok bool) {
	code := strings.ToUpper(strings.NewReplacer(" ", "", "-", "").Replace(text))
	if len(code) != 3 && len(code) != 6 {
		return "", false
	}
	for i := range len(code) {
		letter := 'A' <= code[i] && code[i] <= 'Z'
		figure := strings.IndexByte(figures, code[i]) >= 0
		if i%2 == 0 && !letter || i%2 == 1 && !figure {
			return "", false
		}
	}
	province, ok = canadianDistricts[code[0]]
	return province, ok
}

// canadianDistricts is what the first letter of a postal code stands for: common
// knowledge in Canada, from memory.
var canadianDistricts = map[byte]string{
	'A': "Newfoundland and Labrador", 'B': "Nova Scotia", 'C': "Prince Edward Island", 'E': "New Brunswick",
	'G': "Quebec", 'H': "Quebec", 'J': "Quebec",
	'K': "Ontario", 'L': "Ontario", 'M': "Ontario", 'N': "Ontario", 'P': "Ontario",
	'R': "Manitoba", 'S': "Saskatchewan", 'T': "Alberta", 'V': "British Columbia",
	'X': "the Northwest Territories or Nunavut", 'Y': "Yukon",
}
