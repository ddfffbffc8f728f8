package main

import "strings"

// region is the short form of a region, as written after the comma of a town's
// name, and its full name. Only the United States and Canada have short forms
// that everyone there knows; elsewhere the two are the same.
func region(country, code string, admin1 map[string]string) (short, name string) {
	name = tidy(admin1[country+"."+code])
	switch country {
	case "US":
		return code, name
	case "CA":
		return provinces[code], name
	}
	return name, name
}

// tidy takes out of a name the commas and brackets that would break a label.
func tidy(name string) string {
	name, _, _ = strings.Cut(name, " (")
	return strings.TrimSpace(strings.ReplaceAll(name, ",", ""))
}

// provinces are the postal abbreviations of Canada's provinces and territories
// by GeoNames's numbers for them.
var provinces = map[string]string{
	"01": "AB", "02": "BC", "03": "MB", "04": "NB", "05": "NL", "07": "NS", "08": "ON",
	"09": "PE", "10": "QC", "11": "SK", "12": "YT", "13": "NT", "14": "NU",
}
