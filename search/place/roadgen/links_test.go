package main

import "testing"

func TestLinksRead(t *testing.T) {
	if _, err := readLinks(linksText); err != nil {
		t.Fatal(err)
	}
}
