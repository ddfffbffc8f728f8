package access

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	pb "heirpress/proto/heirpress/v1"
)

// methods are the RPCs of the contract.
func methods() (all []string) {
	protoregistry.GlobalFiles.RangeFilesByPackage("heirpress.v1", func(f protoreflect.FileDescriptor) bool {
		for i := range f.Services().Len() {
			s := f.Services().Get(i)
			for k := range s.Methods().Len() {
				all = append(all, "/"+string(s.FullName())+"/"+string(s.Methods().Get(k).Name()))
			}
		}
		return true
	})
	return all
}

// Every RPC has its rows, and every row is of an RPC.
func TestEveryMethodHasARow(t *testing.T) {
	all := methods()
	if len(all) < 38 {
		t.Fatalf("the contract has %d methods: %v", len(all), all)
	}
	for _, m := range all {
		if len(Table[m]) == 0 {
			t.Errorf("%s has no row in table.txt: say who may call it", m)
		}
	}
	for m := range Table {
		if !slices.Contains(all, m) {
			t.Errorf("table.txt has a row for %s, which the contract does not have", m)
		}
	}
}

// lotStates are the states of the contract, as the table writes them.
func lotStates() (all []State) {
	for n, name := range pb.LotState_name {
		if n != 0 {
			all = append(all, State(strings.ToLower(strings.TrimPrefix(name, "LOT_STATE_"))))
		}
	}
	return all
}

// Every state of a thing has a row, and says nothing that another contradicts.
func TestRowsAreWhole(t *testing.T) {
	states := map[Kind][]State{ALot: lotStates(), AShop: {"shown", "hidden"}}
	for m, rules := range Table {
		kinds := map[Kind][]State{}
		for _, r := range rules {
			kinds[r.Kind] = append(kinds[r.Kind], r.States...)
		}
		for kind, has := range kinds {
			if slices.Contains(has, AnyState) && len(has) == 1 {
				continue
			}
			if want := states[kind]; len(has) != len(want) || slices.ContainsFunc(want, func(s State) bool { return !slices.Contains(has, s) }) {
				t.Errorf("%s of a %s has rows for %v, and should have for %v", m, kind, has, want)
			}
		}
	}
}

// What is open to a stranger without an account is open to everybody; only writes
// need a scope to write, and whatever writes needs a token, or a code for a proof.
func TestRowsMakeSense(t *testing.T) {
	for m, rules := range Table {
		name := m[strings.LastIndex(m, "/")+1:]
		reads := slices.ContainsFunc([]string{"Get", "List", "Measure", "Search", "Stream"}, func(p string) bool { return strings.HasPrefix(name, p) })
		for _, r := range rules {
			if !reads && r.Scope == pb.TokenScope_TOKEN_SCOPE_READ {
				t.Errorf("%s writes, and a token to read is good for it", m)
			}
			if !reads && name != "CreateAccount" && r.Kind != AProofCode && r.For(Anonymous) != NeedToken {
				t.Errorf("%s writes, and needs no token", m)
			}
			for i, v := range r.Verdicts {
				if v == NeedToken && i != column[Anonymous] {
					t.Errorf("%s of a %s wants a token of who has shown one", m, r.Kind)
				}
				if r.For(Anonymous) == Yes && v != Yes && v != Never {
					t.Errorf("%s of a %s is open to nobody's caller, and not to everybody", m, r.Kind)
				}
			}
			if r.For(Stranger) == Hidden && r.For(Pending) == Yes || r.For(GoBetween) == Yes && r.For(Keeper) != Yes && r.For(Keeper) != Never {
				t.Errorf("%s of a %s is open to the farther, and not to the nearer", m, r.Kind)
			}
		}
	}
}

func TestWhatATableMayNotSay(t *testing.T) {
	const good = "ShopService/GetShop read shop shown yes yes yes yes yes yes\n"
	for says, text := range map[string]string{
		"has 3 fields":             "ShopService/GetShop read shop",
		`"look" is not a scope`:    "ShopService/GetShop look shop shown yes yes yes yes yes yes",
		`"maybe" is not a verdict`: good + "ShopService/GetShop read shop hidden yes yes maybe yes yes yes",
		"line 2":                   good + "ShopService/GetShop",
		"has a row before":         good + "ShopService/GetShop read shop hidden,shown no no no no no no",
		"has another scope before": good + "ShopService/GetShop keep shop hidden no no no no no no",
	} {
		if _, err := read(text); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want something about %q", text, err, says)
		}
	}
	if got, err := read("# nothing\n\n" + good); err != nil || len(got) != 1 {
		t.Errorf("got %v, %v", got, err)
	}
}

func TestTheTableIsAskedForTheStateOnlyWhereItMatters(t *testing.T) {
	rules := Table["/heirpress.v1.ShopService/GetShop"]
	unknown := errors.New("the state cannot be known")
	cannot := func() (State, error) { return "", unknown }
	if v, err := rules.Of(Keeper, AShop, cannot); v != Yes || err != nil {
		t.Errorf("the keeper's own shop: %v, %v", v, err)
	}
	if v, err := rules.Of(Stranger, AShop, cannot); v != Hidden || !errors.Is(err, unknown) {
		t.Errorf("a stranger's: %v, %v", v, err)
	}
	for state, want := range map[State]Verdict{"shown": Yes, "hidden": Hidden, "ablaze": Hidden} {
		if v, err := rules.Of(Stranger, AShop, func() (State, error) { return state, nil }); v != want || err != nil {
			t.Errorf("a stranger's that is %s: %v, %v", state, v, err)
		}
	}
	if v, _ := rules.Of(Keeper, AWantedList, func() (State, error) { return AnyState, nil }); v != Hidden {
		t.Errorf("what has no row is %v", v)
	}
	if !Table["/heirpress.v1.ShopService/CreateShop"].NeedsToken() || rules.NeedsToken() {
		t.Error("which methods need a token")
	}
}
