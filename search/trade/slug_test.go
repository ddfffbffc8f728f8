package trade

import (
	"strings"
	"testing"
)

func TestSlugs(t *testing.T) {
	for title, want := range map[string]string{
		"Marrowby Job Printing":                   "marrowby-job-printing",
		"  Skerrow & Nephew,  Printers ":          "skerrow-nephew-printers",
		"Ada's Kätzchen-Presse №3":                "adas-katzchen-presse-no3",
		"活字":                                      "",
		strings.Repeat("long title ", 10):         "long-title-long-title-long-title-long-title-long",
		"x" + strings.Repeat(" ", 47) + "y and z": "x-y-and-z",
	} {
		if got := Slug(title); got != want {
			t.Errorf("Slug(%q) = %q, want %q", title, got, want)
		}
	}
}
