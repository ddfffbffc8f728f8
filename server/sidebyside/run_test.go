package main

import (
	"bytes"
	"strings"
	"testing"
)

// The whole, small: heirpress beside SQLite, on a folder that is kept, and again
// on what was kept. Every answer that ought to be the same is.
func TestRun(t *testing.T) {
	if testing.Short() {
		t.Skip("builds and runs the daemon")
	}
	dir := t.TempDir()
	args := []string{"-lots", "2000", "-without", "postgres", "-keep", dir, "-most", "20", "-long", "300ms"}
	for _, more := range [][]string{nil, {"-only", "two words,nearest of all"}} {
		o, err := parse(append(args, more...), new(bytes.Buffer))
		if err != nil {
			t.Fatal(err)
		}
		o.note = func(format string, args ...any) { t.Logf(format, args...) }
		var out bytes.Buffer
		if err := run(t.Context(), o, &out); err != nil {
			t.Fatal(err)
		}
		checkReport(t, out.String(), o)
	}
	o, err := parse([]string{"-lots", "3000", "-without", "postgres", "-keep", dir}, new(bytes.Buffer))
	if err != nil {
		t.Fatal(err)
	}
	if err := run(t.Context(), o, new(bytes.Buffer)); err == nil || !strings.Contains(err.Error(), "holds 2000 lots of seed 1") {
		t.Errorf("other lots in a kept folder: got %v", err)
	}
}

// checkReport wants a line for each family, with nothing in error and all equal
// that must be.
func checkReport(t *testing.T, text string, o *options) {
	t.Helper()
	for _, f := range families {
		if !o.wants(f.flag()) {
			continue
		}
		line := lineOf(text, "| "+f.name+" |")
		if line == "" || strings.Contains(line, "error") {
			t.Errorf("%s: %q\n%s", f.name, line, text)
		}
		if f.alike != alikeSlips && !strings.Contains(line, "; yes, ") {
			t.Errorf("%s: not all the same: %q\n%s", f.name, line, text)
		}
	}
	for _, want := range []string{"searchable ingest", "index on disk", "start to first answer", "64 clients at once", "idle after", "lots posted a second while searching, SQLite"} {
		if !strings.Contains(text, want) {
			t.Errorf("the report says nothing of %q", want)
		}
	}
}

func lineOf(text, beginning string) string {
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, beginning) {
			return strings.TrimSpace(line)
		}
	}
	return ""
}
