package main

import (
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
)

// jsonl checks that every line of a file is a JSON object, and that there are as
// many as said ("+" for any number but none). A check is PATH, which every line
// must have; !PATH, which none may; or PATH=PATTERN, which the whole of the field
// must match in every line. A path is names with dots between: lot.tag.
func jsonl(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: jsonl FILE COUNT CHECK…")
	}
	lines := readLines(ts, args[0])
	if args[1] != "+" {
		want, err := strconv.Atoi(args[1])
		ts.Check(err)
		if len(lines) != want {
			ts.Fatalf("%s has %d lines, want %d", args[0], len(lines), want)
		}
	} else if len(lines) == 0 {
		ts.Fatalf("%s has no line", args[0])
	}
	for i, line := range lines {
		for _, check := range args[2:] {
			if err := checkField(line, check); err != nil {
				ts.Fatalf("%s line %d: %v", args[0], i+1, err)
			}
		}
	}
}

// column writes one field of every line to a file, a line each.
func column(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: column FILE PATH OUT")
	}
	var out strings.Builder
	for _, line := range readLines(ts, args[0]) {
		value, ok := field(line, args[1])
		if !ok {
			ts.Fatalf("there is no %s in %v", args[1], line)
		}
		fmt.Fprintln(&out, value)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), []byte(out.String()), 0o600))
}

// remember puts one field of the first line into the environment.
func remember(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: remember NAME FILE PATH")
	}
	value, ok := field(readLines(ts, args[1])[0], args[2])
	if !ok {
		ts.Fatalf("the first line of %s has no %s", args[1], args[2])
	}
	ts.Setenv(args[0], value)
}

// shopof puts the shop of a lot's name into the environment.
func shopof(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: shopof NAME LOT")
	}
	shop, _, ok := strings.Cut(args[1], "/lots/")
	if !ok {
		ts.Fatalf("%s is not a lot's name", args[1])
	}
	ts.Setenv(args[0], shop)
}

// distinct checks that no line of a file is there twice.
func distinct(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: distinct FILE")
	}
	seen := map[string]bool{}
	for line := range strings.Lines(ts.ReadFile(args[0])) {
		if seen[line] {
			ts.Fatalf("%s has this twice: %s", args[0], line)
		}
		seen[line] = true
	}
}

func readLines(ts *testscript.TestScript, file string) []map[string]any {
	var lines []map[string]any
	for text := range strings.Lines(ts.ReadFile(file)) {
		var line map[string]any
		if err := json.Unmarshal([]byte(text), &line); err != nil {
			ts.Fatalf("%s: %v in %q", file, err, text)
		}
		lines = append(lines, line)
	}
	return lines
}

func checkField(line map[string]any, check string) error {
	path, pattern, match := strings.Cut(check, "=")
	path, absent := strings.CutPrefix(path, "!")
	value, has := field(line, path)
	switch {
	case has == absent:
		return fmt.Errorf("%s is there: %t", path, has)
	case !match:
		return nil
	}
	whole, err := regexp.Compile("^(" + pattern + ")$")
	if err == nil && !whole.MatchString(value) {
		err = fmt.Errorf("%s is %s, want %s", path, value, pattern)
	}
	return err
}

// field is the value at a path in an object, as text.
func field(line map[string]any, path string) (string, bool) {
	var at any = line
	for name := range strings.SplitSeq(path, ".") {
		object, ok := at.(map[string]any)
		if !ok {
			return "", false
		}
		if at, ok = object[name]; !ok {
			return "", false
		}
	}
	if text, ok := at.(string); ok {
		return text, true
	}
	raw, err := json.Marshal(at)
	return string(raw), err == nil
}
