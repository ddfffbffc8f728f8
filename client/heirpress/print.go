package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
)

// printf prints a part of the answer.
func (a *app) printf(format string, args ...any) {
	fmt.Fprintf(a.out, format, args...)
}

// printJSON prints a message of the contract as one line.
func (a *app) printJSON(m proto.Message) error {
	line, err := jsonOf(m)
	if err != nil {
		return err
	}
	a.printf("%s\n", line)
	return nil
}

// jsonOf is a message in its JSON mapping. The library varies its spacing on
// purpose; here the same message is always the same line.
func jsonOf(m proto.Message) (json.RawMessage, error) {
	raw, err := protojson.Marshal(m)
	if err != nil {
		return nil, err
	}
	var line bytes.Buffer
	if err := json.Compact(&line, raw); err != nil {
		return nil, err
	}
	return line.Bytes(), nil
}

// printLine prints any value as one line of JSON.
func (a *app) printLine(v any) error {
	line, err := json.Marshal(v)
	if err != nil {
		return err
	}
	a.printf("%s\n", line)
	return nil
}

// gap sets what is told apart from what was told before.
func (a *app) gap() {
	if a.told {
		a.printf("\n")
	}
	a.told = true
}

// facts is what there is to say about a lot in a line or two, in a set order.
func (a *app) facts(l *pb.Lot) string {
	return notice.Phrases(notice.Facts(l, a.unitSystem()), notice.ClearBy(l))
}

// factsInShop is the same among lots of one shop, whose day has been said.
func (a *app) factsInShop(l *pb.Lot) string {
	if l.GetClearByFromShop() {
		return notice.Facts(l, a.unitSystem())
	}
	return a.facts(l)
}

func nonEmpty(texts ...string) []string {
	return slices.DeleteFunc(texts, func(t string) bool { return t == "" })
}
