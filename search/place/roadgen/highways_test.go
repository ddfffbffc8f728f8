package main

import "testing"

func TestHighwaysRead(t *testing.T) {
	if _, err := readHighways(highwaysText); err != nil {
		t.Fatal(err)
	}
}
