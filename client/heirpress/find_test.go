package main

import (
	"bytes"
	"strings"
	"testing"
)

// Bytes that are no text are refused before anything is asked of a registry.
func TestFindWantsText(t *testing.T) {
	for _, args := range [][]string{{"find", "pl\xffaten"}, {"find", "--near", "\xfe"}, {"find", "--shop", "\xff"}} {
		var out, notes bytes.Buffer
		args = append(args, "--data", t.TempDir())
		if status := run(t.Context(), args, &out, &notes); status != exitUsage || !strings.Contains(notes.String(), "is no text: write it in UTF-8") || out.Len() > 0 {
			t.Errorf("%q: status %d, %s", args, status, &notes)
		}
	}
}
