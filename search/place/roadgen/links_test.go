package main

import (
	"strings"
	"testing"
)

func TestLinksRead(t *testing.T) {
	links, err := readLinks(linksText)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range links {
		straight := kmBetween(l.from.at, l.to.at)
		if l.km > 0 && (l.km > 2.6*straight+10 || l.km < straight/2-15) {
			t.Errorf("links.txt:%d: %v km, and %.1f straight", l.line, l.km, straight)
		}
	}
}

func TestLinkErrors(t *testing.T) {
	for text, want := range map[string]string{
		"bridge | Dayton, OH | Columbus, OH | 100":            "links.txt:1: 4 fields, want 5",
		"tunnel | Dayton, OH | Columbus, OH | 100 | x":        `no kind "tunnel": want bridge, road or ferry`,
		"# x\n\nroad | Nowhere at all, OH | Lima, OH | 1 | x": "links.txt:3: ",
		"road | Dayton, OH | Columbus, OH | far | x":          `"far"`,
	} {
		if _, err := readLinks(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q in it", text, err, want)
		}
	}
}

func TestHighwayErrors(t *testing.T) {
	for text, want := range map[string]string{
		"I-1; OH Dayton, Nowhere at all":       "highways.txt:1: I-1: ",
		"I-1; OH Dayton; CA Los Angeles":       "from Dayton, OH to Los Angeles, CA is ",
		"# x\nI-1; OH Dayton; England Ashford": "highways.txt:2: ",
	} {
		if _, err := readHighways(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q in it", text, err, want)
		}
	}
	got, err := readHighways("I-1; OH Dayton, Columbus; WV Wheeling")
	if err != nil || len(got) != 2 || got[0].to != got[1].from {
		t.Errorf("got %v, %v", got, err)
	}
}
