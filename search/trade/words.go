package trade

import (
	"fmt"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

var conditionNames = []naming[pb.Condition]{
	{pb.Condition_CONDITION_WORKING, "working", []string{"good", "very good", "excellent", "fine", "work", "in working order", "working order", "run", "running", "runs well", "run well", "ready to print", "in use", "mint", "new", "like new", "as new", "good working order", "good condition", "restored", "clean"}},
	{pb.Condition_CONDITION_NEEDS_CARE, "needs care", []string{"fair", "need cleaning", "need roller", "dirty", "dusty", "rusty", "surface rust", "need work", "need attention", "average", "usable", "used", "need tlc", "need oil", "ok"}},
	{pb.Condition_CONDITION_NEEDS_REPAIR, "needs repair", []string{"poor", "broken", "cracked", "worn", "worn out", "seized", "damaged", "not working", "needs restoration", "need restoring", "bad", "repair", "stuck", "brazed"}},
	{pb.Condition_CONDITION_FOR_PARTS, "for parts", []string{"parts", "part only", "for part only", "parts only", "spare", "for spare", "scrap", "for scrap", "hell box", "metal only"}},
}

// ConditionWord is the word for a condition: "needs care". A condition that is
// not said is "".
func ConditionWord(c pb.Condition) string { return wordFor(conditionNames, c) }

// ParseCondition reads a keeper's word on how a lot is. The first words decide,
// up to a comma or the like: "good, one roller worn" is working, with the whole
// as a note. Words that it does not know are kept as the note and leave the
// condition unspecified: nothing is guessed from them. There is no note where
// the text says no more than the condition.
func ParseCondition(text string) (c pb.Condition, note string) {
	text = strings.TrimSpace(text)
	if c, err := parseNaming(text, "", conditionNames); err == nil {
		return c, ""
	}
	first := text
	for _, stop := range []string{",", ";", ".", "(", ":", " - ", " – ", " — ", " but "} {
		first, _, _ = strings.Cut(first, stop)
	}
	c, err := parseNaming(first, "", conditionNames)
	if err != nil {
		c = pb.Condition_CONDITION_UNSPECIFIED
	}
	return c, text
}

var stateNames = []naming[pb.LotState]{
	{pb.LotState_LOT_STATE_DRAFT, "draft", nil},
	{pb.LotState_LOT_STATE_PROOFED, "proofed", []string{"proof", "passed"}},
	{pb.LotState_LOT_STATE_OFFERED, "offered", []string{"offer", "available", "for sale"}},
	{pb.LotState_LOT_STATE_PROMISED, "promised", []string{"promise", "reserved", "held", "on hold", "pending"}},
	{pb.LotState_LOT_STATE_REHOMED, "rehomed", []string{"sold", "gone", "given"}},
	{pb.LotState_LOT_STATE_WITHDRAWN, "withdrawn", []string{"withdraw", "not for sale"}},
}

// StateWord is the word for a lot's state: "offered". A state that is not said
// is "".
func StateWord(s pb.LotState) string { return wordFor(stateNames, s) }

// ValueWord is a value of the contract in words, without what all values of its sort
// begin with: with "DRIVE_", DRIVE_LINE_SHAFT is "line shaft". What was not said is "".
func ValueWord(prefix string, value fmt.Stringer) string {
	word, known := strings.CutPrefix(value.String(), prefix)
	if !known || word == "UNSPECIFIED" {
		return ""
	}
	return strings.ToLower(strings.ReplaceAll(word, "_", " "))
}

// ParseState reads a lot's state. The error is a *ParseError.
func ParseState(text string) (pb.LotState, error) { return parseNaming(text, "a state", stateNames) }

var nothingMissing = map[string]bool{
	"none": true, "nothing": true, "no": true, "complete": true, "nil": true, "nothing missing": true,
	"all there": true, "none missing": true, "all complete": true, "0": true, "n": true,
}

var notSaid = map[string]bool{
	"": true, "?": true, "unknown": true, "not known": true, "not checked": true, "unchecked": true, "unsure": true, "dont know": true, "-": true, "n/a": true, "na": true,
}

// ParseParts reads the "missing" column of a sheet. Nothing in it, or "unknown",
// gives nil: nobody has said. "none" or "complete" says that the rest was
// checked. Anything else names what is missing, with commas, semicolons or "and"
// between.
func ParseParts(text string) *pb.Parts {
	key := strings.Trim(strings.ReplaceAll(plain(text), "'", ""), ". ")
	switch {
	case notSaid[key]:
		return nil
	case nothingMissing[key]:
		return &pb.Parts{RestComplete: true}
	}
	parts := &pb.Parts{}
	between := func(r rune) bool { return r == ',' || r == ';' || r == '\n' || r == '|' }
	for _, p := range strings.FieldsFunc(text, between) {
		for _, one := range strings.Split(p, " and ") {
			one = strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(one), "and "))
			if one = strings.TrimRight(one, "."); one != "" {
				parts.Missing = append(parts.Missing, one)
			}
		}
	}
	if len(parts.Missing) == 0 {
		return nil
	}
	return parts
}
