package trade

import "strings"

// OldName is an old name of a body size. Before the point system a name meant a
// body that differed between foundries by up to about 0.01 in, so the points are
// what it is believed to be.
type OldName struct {
	// Name is the name, in lower case.
	Name string
	// Points is what it is believed to be in American points, likeliest first;
	// more than one where the lists conflict.
	Points []float64
}

// Conflict tells whether the lists disagree on the name.
func (n OldName) Conflict() bool { return len(n.Points) > 1 }

// oldNames: Vaughn, Printing and Bookbinding for Schools, for 4.5 to 12; the
// names page "A Type Detective Story" for all; MacKellar for the order. The
// conflicts are between that page and a digest of Webster 1913.
var oldNames = []OldName{
	{"brilliant", []float64{3.5, 3}},
	{"excelsior", []float64{3, 4}},
	{"diamond", []float64{4.5}},
	{"pearl", []float64{5}},
	{"agate", []float64{5.5}},
	{"ruby", []float64{5.5}},
	{"nonpareil", []float64{6}},
	{"minion", []float64{7}},
	{"brevier", []float64{8}},
	{"bourgeois", []float64{9}},
	{"long primer", []float64{10}},
	{"small pica", []float64{11}},
	{"pica", []float64{12}},
	{"english", []float64{14}},
	{"columbian", []float64{16}},
	{"great primer", []float64{18}},
	{"paragon", []float64{20}},
	{"double small pica", []float64{22}},
	{"double pica", []float64{24}},
	{"two-line pica", []float64{24}},
	{"double english", []float64{28}},
	{"double columbian", []float64{32}},
	{"double great primer", []float64{36}},
	{"double paragon", []float64{40}},
	{"canon", []float64{44, 48}},
	{"four-line pica", []float64{48}},
	{"five-line pica", []float64{60}},
	{"six-line pica", []float64{72}},
}

// OldNames returns every old name known, smallest first.
func OldNames() []OldName {
	names := make([]OldName, len(oldNames))
	copy(names, oldNames)
	return names
}

// OldNameOf finds an old name: "Great Primer", "long-primer", "2-line pica".
func OldNameOf(text string) (OldName, bool) {
	key := oldNameKey(text)
	for _, n := range oldNames {
		if oldNameKey(n.Name) == key {
			return n, true
		}
	}
	return OldName{}, false
}

var oldNameWords = strings.NewReplacer("2 line", "two line", "4 line", "four line", "5 line", "five line", "6 line", "six line")

func oldNameKey(text string) string {
	return oldNameWords.Replace(strings.ReplaceAll(plain(text), "-", " "))
}

// OldNamesFor returns the names that are believed to mean a body of so many
// American points, surest first.
func OldNamesFor(points float64) []string {
	var sure, unsure []string
	for _, n := range oldNames {
		for _, p := range n.Points {
			switch {
			case p != points:
			case n.Conflict():
				unsure = append(unsure, n.Name)
			default:
				sure = append(sure, n.Name)
			}
		}
	}
	return append(sure, unsure...)
}
