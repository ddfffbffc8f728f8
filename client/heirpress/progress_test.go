package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"
)

func TestProgressOnlyOnATerminal(t *testing.T) {
	file, err := os.Create(filepath.Join(t.TempDir(), "notes"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	for _, a := range []*app{{notes: new(bytes.Buffer)}, {notes: file}} {
		if a.progress("a.csv", 3) != nil {
			t.Errorf("%T gets a bar", a.notes)
		}
	}
}

func TestCounter(t *testing.T) {
	var shown bytes.Buffer
	count := counter(&shown, "a.csv", 1201, time.Now().Add(-time.Second))
	count(500)
	count(1201)
	if want := "\ra.csv: 500 of 1201 lots\ra.csv: 1201 of 1201 lots\n"; shown.String() != want {
		t.Errorf("got %q, want %q", shown.String(), want)
	}
	shown.Reset()
	counter(&shown, "a.csv", 3, time.Now().Add(time.Hour))(3)
	if shown.Len() > 0 {
		t.Errorf("what is done in a moment shows %q", shown.String())
	}
}
