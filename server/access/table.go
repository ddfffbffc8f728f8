package access

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// Verdict is what the table says of one caller, thing and state.
type Verdict string

// What the table can say.
const (
	Yes       Verdict = "yes"
	No        Verdict = "no"
	Hidden    Verdict = "hidden"
	NeedToken Verdict = "token"
	Never     Verdict = "-"
)

// Kind is the sort of thing that a row is about.
type Kind string

// The kinds of things.
const (
	AnyThing    Kind = "any" // none that there is yet
	AShop       Kind = "shop"
	ALot        Kind = "lot"
	ANotice     Kind = "notice"
	AWantedList Kind = "wanted-list"
	AnAlert     Kind = "alert"
	AnAccount   Kind = "account"
	AToken      Kind = "token"
	ADelegation Kind = "delegation"
	// AProofCode is what is done by a code for a proof, AKeeperlessShop a shop whose
	// keeper has no account.
	AProofCode      Kind = "proof-code"
	AKeeperlessShop Kind = "keeperless-shop"
	// AnIntroduction is seen from the shop, AnOwnIntroduction by who asks.
	AnIntroduction    Kind = "introduction"
	AnOwnIntroduction Kind = "own-introduction"
)

// State is a state of a thing, as far as access depends on it.
type State string

// AnyState is the state of a thing whose state does not matter.
const AnyState State = "any"

// Row is one line of the table.
type Row struct {
	// Method is the full name of the RPC, "/heirpress.v1.ShopService/GetShop".
	Method string
	// Scope is what the token must be good for; unspecified where any token is.
	Scope pb.TokenScope
	// Kind and States are the thing that the row is about.
	Kind   Kind
	States []State
	// Verdicts are by column: anonymous, pending, stranger, go-between, owner,
	// operator.
	Verdicts [columns]Verdict
}

const columns = 6

// column is where a relation stands in the table.
var column = map[Relation]int{
	Anonymous: 0, Pending: 1, Stranger: 2, GoBetween: 3, Keeper: 4, Seeker: 4, Self: 4, Operator: 5,
}

// For is what a row says of a relation.
func (r Row) For(relation Relation) Verdict { return r.Verdicts[column[relation]] }

//go:embed table.txt
var tableText string

// Table is what may be done by whom, as table.txt says it.
var Table = mustRead(tableText)

var scopes = map[string]pb.TokenScope{
	"-": pb.TokenScope_TOKEN_SCOPE_UNSPECIFIED, "read": pb.TokenScope_TOKEN_SCOPE_READ, "keep": pb.TokenScope_TOKEN_SCOPE_KEEP,
	"seek": pb.TokenScope_TOKEN_SCOPE_SEEK, "manage": pb.TokenScope_TOKEN_SCOPE_MANAGE,
}

// Rules are the rows of one method.
type Rules []Row

func mustRead(text string) map[string]Rules {
	table, err := read(text)
	if err != nil {
		panic(err) // it is part of the program
	}
	return table
}

// read reads a table, by method.
func read(text string) (map[string]Rules, error) {
	table := map[string]Rules{}
	for i, line := range strings.Split(text, "\n") {
		line, _, _ = strings.Cut(line, "#")
		fields := strings.Fields(line)
		if len(fields) == 0 {
			continue
		}
		row, err := readRow(fields)
		if err == nil {
			err = table[row.Method].admits(row)
		}
		if err != nil {
			return nil, fmt.Errorf("access table, line %d: %w", i+1, err)
		}
		table[row.Method] = append(table[row.Method], row)
	}
	return table, nil
}

func readRow(fields []string) (Row, error) {
	if len(fields) != 4+columns {
		return Row{}, fmt.Errorf("has %d fields: method, scope, thing, state and %d verdicts", len(fields), columns)
	}
	scope, known := scopes[fields[1]]
	if !known {
		return Row{}, fmt.Errorf("%q is not a scope", fields[1])
	}
	row := Row{Method: "/heirpress.v1." + fields[0], Scope: scope, Kind: Kind(fields[2])}
	for _, s := range strings.Split(fields[3], ",") {
		row.States = append(row.States, State(s))
	}
	for i, v := range fields[4:] {
		row.Verdicts[i] = Verdict(v)
		if !slices.Contains([]Verdict{Yes, No, Hidden, NeedToken, Never}, row.Verdicts[i]) {
			return Row{}, fmt.Errorf("%q is not a verdict", v)
		}
	}
	return row, nil
}

// admits tells whether a row can stand beside those before it.
func (rules Rules) admits(row Row) error {
	for _, r := range rules {
		if r.Scope != row.Scope {
			return fmt.Errorf("%s has another scope before", row.Method)
		}
		for _, s := range row.States {
			if r.Kind == row.Kind && slices.Contains(r.States, s) {
				return fmt.Errorf("%s of a %s that is %s has a row before", row.Method, row.Kind, s)
			}
		}
	}
	return nil
}

// Scope is what a token must be good for.
func (rules Rules) Scope() pb.TokenScope { return rules[0].Scope }

// NeedsToken tells whether there is nothing in it for a caller without a token.
func (rules Rules) NeedsToken() bool {
	return !slices.ContainsFunc(rules, func(r Row) bool { return r.For(Anonymous) != NeedToken })
}

// Of is what the rules say of a relation to a thing. state is asked for only where
// it matters. A thing or state that has no row is Hidden.
func (rules Rules) Of(relation Relation, kind Kind, state func() (State, error)) (Verdict, error) {
	first, same := Never, true
	for _, r := range rules {
		if r.Kind != kind {
			continue
		}
		if first == Never {
			first = r.For(relation)
		}
		same = same && r.For(relation) == first
	}
	if same && first != Never {
		return first, nil
	}
	at, err := state()
	if err != nil {
		return Hidden, err
	}
	return rules.at(relation, kind, at), nil
}

func (rules Rules) at(relation Relation, kind Kind, at State) Verdict {
	for _, r := range rules {
		if r.Kind == kind && (slices.Contains(r.States, at) || slices.Contains(r.States, AnyState)) {
			return r.For(relation)
		}
	}
	return Hidden
}
