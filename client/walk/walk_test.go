package walk

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"heirpress/client/sheet"
)

// tester is what testing.T and rapid.T share.
type tester interface {
	Helper()
	Fatal(...any)
	Fatalf(string, ...any)
}

// run walks with these lines, and returns what was said.
func run(t tester, path string, lines ...string) (Report, string) {
	t.Helper()
	var in, out bytes.Buffer
	for _, l := range lines {
		in.WriteString(l + "\n")
	}
	unflushed := func(*os.File) error { return nil } // what is on the disk has a test of its own
	report, err := Run(context.Background(), Options{Path: path, In: &in, Out: &out, CheckTown: town, flush: unflushed})
	if err != nil {
		t.Fatalf("%v\n%s", err, out.String())
	}
	return report, out.String()
}

func town(text string) error {
	if text != "Dayton, OH" {
		return errors.New("there is no such town")
	}
	return nil
}

func read(t tester, path string) *sheet.Sheet {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	s, err := sheet.Read(path, file)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Bad) > 0 {
		t.Fatal(s.Bad)
	}
	return s
}

// shopLines answer the questions about the shop.
var shopLines = []string{"The Tolliver basement", "Dayton, OH", "2027-01-31", "skip", ""}

// woodLot answers the questions about a lot of wood type.
func woodLot(kind, tag, where, title string) []string {
	return []string{kind, tag, where, title, "12 line", "62", "K, J", "working", "$200", ""}
}

func lines(all ...[]string) []string {
	var flat []string
	for _, a := range all {
		flat = append(flat, a...)
	}
	return flat
}

func TestWalk(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.yaml")
	report, said := run(t, path, lines(shopLines, woodLot("wood type", "7", "cabinet 2, drawer 09", "Gothic"), []string{"yes"}, woodLot("", "", "", "Tuscan"), []string{"no"})...)
	if report.Ending != Finished || report.Lots != 2 || report.Before != "" {
		t.Fatalf("got %+v\n%s", report, said)
	}
	s := read(t, path)
	if s.Shop.GetTitle() != "The Tolliver basement" || s.Shop.GetClearBy().GetYear() != 2027 || s.Shop.GetAccess() != "" {
		t.Errorf("the shop is %v", s.Shop)
	}
	second := s.Lots[1].Lot
	if second.GetTag() != "8" || second.GetTitle() != "Tuscan" || second.GetDescription() != "It stands: cabinet 2, drawer 10." || second.GetWoodType().GetPieces() != 62 || second.GetWoodType().GetSize().GetLines() != 12 {
		t.Errorf("the second lot is %v", second)
	}
	for _, want := range []string{"Lot 2\nWhat kind of thing is it? [wood type]\n> ", "Which number is on its tape? [8]\n> ", "Where does it stand? [cabinet 2, drawer 10]\n> "} {
		if !strings.Contains(said, want) {
			t.Errorf("nothing said %q in\n%s", want, said)
		}
	}
	left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), "*"))
	if len(left) != 1 {
		t.Errorf("left behind: %v", left)
	}
}

func TestWrongAnswersAreAskedAgain(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.yaml")
	_, said := run(t, path, "", "A shop", "Atlantis", "Dayton, OH", "soon", "skip", "skip", "skip",
		"thing", "press", "1", "", "skip", "A press", "type cabinet", "platen jobber", "skip", "skip", "skip", "enormous", "10x15", "skip", "steam", "treadle", "skip", "skip", "skip", "heavy", "1,500 lb", "skip", "skip", "skip", "dear", "900", "skip",
		"perhaps", "yes", "press", "1", "2", "done")
	for _, want := range []string{
		"This has to be said: The name over the door",
		"That will not do: there is no such town\n",
		`That will not do: "soon" is not a day`,
		`That will not do: "thing" is not a kind`,
		"This has to be said: One line that says what it is.",
		`That will not do: "type cabinet" is a class of cabinets: go back to change the kind`,
		`That will not do: "enormous" is not the size of a press: write it as 10x15`,
		`That will not do: "steam" is`,
		`That will not do: "heavy" is not a weight: write it as`,
		`That will not do: "dear" is not a price`,
		`That will not do: "perhaps" is neither yes nor no`,
		`That will not do: "1" is the tag of another lot`,
		"Lot 2 has no title, and is left out.",
	} {
		if !strings.Contains(said, want) {
			t.Errorf("nothing said %q in\n%s", want, said)
		}
	}
	if s := read(t, path); len(s.Lots) != 1 || s.Lots[0].Lot.GetPress().GetChase().GetWidthMm() != 254 {
		t.Errorf("got %v", s.Lots)
	}
}

func TestWords(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.yaml")
	_, said := run(t, path, "back", "done", "help", `"quit"`, "back", "", "Dayton, OH", "undo", "", "done")
	for _, want := range []string{
		"This is the first question.",
		"A sheet has to say first what the shop is called",
		"The name over the door, or a family name. It is what seekers see. For example: Marrowby Job Printing\n",
		"What shall the shop be called? [quit]\n> ",
		"In which town is it? [Dayton, OH]\n> ",
	} {
		if !strings.Contains(said, want) {
			t.Errorf("nothing said %q in\n%s", want, said)
		}
	}
	if s := read(t, path); s.Shop.GetTitle() != "quit" || s.Shop.GetPlace() != "Dayton, OH" {
		t.Errorf("got %v", s.Shop)
	}
}

func TestQuitAndGoOn(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.yaml")
	report, _ := run(t, path, append(append([]string{}, shopLines...), "tools", "1", "bench", "Sticks", "quit", "never heard")...)
	if report.Ending != Left || report.Lots != 1 {
		t.Fatalf("got %+v", report)
	}
	if _, err := os.Stat(path); !os.IsNotExist(err) {
		t.Errorf("there is a sheet: %v", err)
	}
	report, said := run(t, path, "5", "done")
	if report.Ending != Finished || !strings.Contains(said, "Going on where it was broken off, after answer 9.\n\nLot 1\nHow many are there?\n> ") {
		t.Errorf("got %+v\n%s", report, said)
	}
	if s := read(t, path); s.Lots[0].Lot.GetCount() != 5 {
		t.Errorf("got %v", s.Lots)
	}
}

// An answer is on the disk before the next question is put.
func TestAnswersAreFlushed(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.yaml")
	var out bytes.Buffer
	onDisk := ""
	flush := func(f *os.File) error {
		if f.Name() != path+".walk" {
			return f.Sync()
		}
		body, err := os.ReadFile(f.Name())
		onDisk = string(body)
		if questions := strings.Count(out.String(), "\n> "); questions != strings.Count(onDisk, "\n")-1 {
			t.Errorf("%d questions were put when this came to the disk:\n%s", questions, onDisk)
		}
		return errors.Join(err, f.Sync())
	}
	in := strings.NewReader("A shop\nDayton, OH\nquit\n")
	if _, err := Run(context.Background(), Options{Path: path, In: in, Out: &out, CheckTown: town, flush: flush}); err != nil {
		t.Fatal(err)
	}
	if !strings.HasSuffix(onDisk, `"text":"A shop"}`+"\n"+`{"lot":0,"key":"place","text":"Dayton, OH"}`+"\n") {
		t.Errorf("on the disk is %s", onDisk)
	}
	full := func(*os.File) error { return errors.New("the disk is full") }
	if _, err := Run(context.Background(), Options{Path: path, In: strings.NewReader("\n"), Out: &out, flush: full}); err == nil || !strings.Contains(err.Error(), "the answer cannot be saved: the disk is full") {
		t.Errorf("got %v", err)
	}
}

// A second walk adds to the sheet of the first, and keeps what was there.
func TestGoOnFromASheet(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.yaml")
	before := "# by hand\nshop: {title: A shop, place: \"Dayton, OH\"}\nlots:\n- {tag: \"9\", title: Old press, kind: press}\n"
	if err := os.WriteFile(path, []byte(before), 0o600); err != nil {
		t.Fatal(err)
	}
	report, said := run(t, path, "tools", "9", "", "", "Sticks", "done")
	if report.Lots != 2 || report.Before != path+".before" || !strings.Contains(said, "is the tag of another lot") {
		t.Fatalf("got %+v\n%s", report, said)
	}
	if s := read(t, path); s.Shop.GetTitle() != "A shop" || s.Lots[0].Lot.GetTag() != "9" || s.Lots[1].Lot.GetTag() != "10" {
		t.Errorf("got %v", s.Lots)
	}
	if kept, err := os.ReadFile(path + ".before"); string(kept) != before {
		t.Errorf("kept %q, %v", kept, err)
	}
}

func TestRefuses(t *testing.T) {
	dir := t.TempDir()
	write := func(name, body string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(body), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	damaged := filepath.Join(dir, "damaged.yaml")
	write("damaged.yaml.walk", "{\"base\":\"none\",\"lot\":0}\nnonsense\n{}\n")
	changed := filepath.Join(dir, "changed.yaml")
	run(t, changed, "A shop", "quit")
	write("changed.yaml", "lots: []\n")
	cases := []struct{ path, want string }{
		{"shop.csv", "shop.csv: a walk writes a .yaml sheet: name one"},
		{write("bad.yaml", "lots:\n- {title: x, price: dear}\n"), "put right what is wrong in it first: line 2, key price: "},
		{write("broken.yaml", "lots: ["), "is not YAML"},
		{damaged, "line 2 is damaged"},
		{changed, "is no longer as it was when the walk began. The answers are safe in "},
	}
	for _, c := range cases {
		_, err := Run(context.Background(), Options{Path: c.path, In: strings.NewReader(""), Out: new(bytes.Buffer)})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v", c.path, err)
		}
	}
	// Moved away, the walk goes on.
	if err := os.Remove(changed); err != nil {
		t.Fatal(err)
	}
	if report, _ := run(t, changed, "Dayton, OH", "done"); report.Ending != Finished {
		t.Errorf("got %+v", report)
	}
}

func TestOneWalkAtATime(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.yaml")
	_, unlock, err := begin(Options{Path: path})
	if err != nil {
		t.Fatal(err)
	}
	defer unlock()
	if _, err := Run(context.Background(), Options{Path: path}); err == nil || !strings.Contains(err.Error(), "another walk is writing it") {
		t.Errorf("got %v", err)
	}
}

// script draws lines as a person may type them, right and wrong.
func script(t *rapid.T) []string {
	all := append([]string{}, shopLines...)
	words := []string{"", "skip", "back", "back", "help", "nonsense", "12", "free", "yes", "press", "wood type", "tools", "12 line", "a text", "5 lb", "drawer 7"}
	return append(all, rapid.SliceOfN(rapid.SampledFrom(words), 0, 60).Draw(t, "lines")...)
}

// Wherever a walk is cut off, even in the middle of writing an answer, the rest
// of the same lines gives the same sheet.
func TestCutOffAnywhere(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		work, err := os.MkdirTemp(dir, "")
		if err != nil {
			t.Fatal(err)
		}
		all := script(t)
		whole, cut := filepath.Join(work, "whole.yaml"), filepath.Join(work, "cut.yaml")
		run(t, whole, append(append([]string{}, all...), "done")...)
		at := rapid.IntRange(0, len(all)).Draw(t, "cut after")
		if report, _ := run(t, cut, all[:at]...); report.Ending == Finished {
			return // the lines said so themselves
		}
		if torn := rapid.SampledFrom([]string{"", "{", `{"lot":1,"key":"title","te`}).Draw(t, "torn"); torn != "" {
			file, err := os.OpenFile(cut+".walk", os.O_APPEND|os.O_WRONLY, 0)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := file.WriteString(torn); err != nil {
				t.Fatal(err)
			}
			file.Close()
		}
		run(t, cut, append(append([]string{}, all[at:]...), "done")...)
		a, errA := os.ReadFile(whole)
		b, errB := os.ReadFile(cut)
		if errA != nil || errB != nil || !bytes.Equal(a, b) {
			t.Fatalf("%v, %v: in one go\n%s\nand cut off\n%s", errA, errB, a, b)
		}
	})
}

// Cut off between the journal's end and its removal, a walk is ended by the next.
func TestCutOffWhileFinishing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.yaml")
	run(t, path, append(append([]string{}, shopLines...), "quit")...)
	body, err := os.ReadFile(path + ".walk")
	if err != nil {
		t.Fatal(err)
	}
	run(t, path, "tools", "1", "", "Sticks", "done")
	written, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	journal := string(body) + `{"lot":1,"key":"kind","text":"tools"}` + "\n" + `{"lot":0,"sheet":"` + digest(written) + "\"}\n"
	for _, c := range []struct {
		about string
		sheet bool
	}{{"before the sheet", false}, {"after the sheet", true}} {
		if err := os.WriteFile(path+".walk", []byte(journal), 0o600); err != nil {
			t.Fatal(err)
		}
		if !c.sheet {
			if err := os.Remove(path); err != nil {
				t.Fatal(err)
			}
			report, _ := run(t, path, "1", "", "Sticks", "done")
			if report.Ending != Finished {
				t.Errorf("%s: %+v", c.about, report)
			}
			continue
		}
		if report, said := run(t, path); report.Ending != Finished || said != "" {
			t.Errorf("%s: %+v, %s", c.about, report, said)
		}
		if now, _ := os.ReadFile(path); !bytes.Equal(now, written) {
			t.Errorf("%s: the sheet is %s", c.about, now)
		}
	}
	if _, err := os.Stat(path + ".walk"); !os.IsNotExist(err) {
		t.Errorf("the journal is left: %v", err)
	}
}

func TestCountedOn(t *testing.T) {
	for place, want := range map[string]string{
		"cabinet 2, drawer 5": "cabinet 2, drawer 6", "drawer 09": "drawer 10", "cabinet 2": "cabinet 2", "room 3": "room 3", "box #4": "box #5", "by the door": "by the door", "": "",
	} {
		if got := countedOn(place); got != want {
			t.Errorf("after %q comes %q, want %q", place, got, want)
		}
	}
}
