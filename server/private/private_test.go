package private_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/private"
	"heirpress/server/store"
	"heirpress/server/store/memory"
)

func newKeys(t *testing.T) private.Keys {
	t.Helper()
	k := private.Keys{File: filepath.Join(t.TempDir(), "keys")}
	if _, err := k.NewKey(); err != nil {
		t.Fatal(err)
	}
	return k
}

func put(t *testing.T, k private.Keys, s store.Store, p *pb.PrivatePlace) {
	t.Helper()
	err := s.Write(t.Context(), func(tx store.Tx) error {
		_, err := k.Put(t.Context(), tx, p)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func cottage(whose string) *pb.PrivatePlace {
	return &pb.PrivatePlace{
		Name: private.NameOf(whose), Person: "Odile Marrowby", Address: "41 Quince Lane", Phone: "+1 555 0134",
		Email: "odile@example.org", Point: &pb.PrivatePoint{Latitude: 39.76123, Longitude: -84.19871},
	}
}

// What was put in comes out, whatever it is, and nothing of it can be read in the
// store or its journal.
func TestAPlaceIsSealedAndComesBack(t *testing.T) {
	k := newKeys(t)
	s := memory.New()
	rapid.Check(t, func(rt *rapid.T) {
		text := rapid.StringMatching(`[A-Za-z0-9 ]{12,60}`)
		p := &pb.PrivatePlace{Name: private.NameOf("shops/a"), Person: text.Draw(rt, "person"), Address: text.Draw(rt, "address")}
		put(t, k, s, p)
		got, err := k.Get(t.Context(), s, p.GetName())
		if err != nil || !proto.Equal(got, p) {
			rt.Fatalf("put %v, got %v, %v", p, got, err)
		}
		for _, c := range must(s.Changes(t.Context(), 0, 1<<20)) {
			if bytes.Contains(c.Record.Body, []byte(p.GetPerson())) || bytes.Contains(c.Record.Body, []byte(p.GetAddress())) {
				rt.Fatalf("the journal has %q in the clear", p)
			}
		}
	})
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// A sealed place opens only under its own name, only with its key, and only whole.
func TestASealedPlaceCannotBeMovedOrChanged(t *testing.T) {
	k := newKeys(t)
	s := memory.New()
	put(t, k, s, cottage("shops/a"))
	put(t, k, s, cottage("shops/b"))
	a := must(s.Get(t.Context(), "shops/a/privatePlace"))
	spoil := func(name string, body []byte) {
		t.Helper()
		err := s.Write(t.Context(), func(tx store.Tx) error {
			_, err := tx.Update(t.Context(), store.Record{Name: name, Collection: store.PrivatePlaces, Body: body})
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		if p, err := k.Get(t.Context(), s, name); err == nil || strings.Contains(err.Error(), "Quince") {
			t.Errorf("got %v, %v", p, err)
		}
	}
	spoil("shops/b/privatePlace", a.Body)
	for i := range a.Body {
		changed := bytes.Clone(a.Body)
		changed[i] ^= 1
		spoil("shops/a/privatePlace", changed)
	}
	spoil("shops/a/privatePlace", a.Body[:len(a.Body)-1])
}

// Keys are changed in three steps, and after the last nothing that was sealed
// before can be opened.
func TestKeysAreChanged(t *testing.T) {
	k := newKeys(t)
	before := must(os.ReadFile(k.File))
	s := memory.New()
	for _, whose := range []string{"shops/a", "shops/b", "accounts/c"} {
		put(t, k, s, cottage(whose))
	}
	old := must(s.Get(t.Context(), "shops/a/privatePlace"))
	must(k.NewKey())
	if _, err := k.DropOld(t.Context(), s); !errors.As(err, new(*private.NeededError)) {
		t.Fatalf("dropped a key that is needed: %v", err)
	}
	if got := must(k.Get(t.Context(), s, "shops/a/privatePlace")); got.GetAddress() != "41 Quince Lane" {
		t.Errorf("got %v with the old key second", got)
	}
	if n := must(k.Reseal(t.Context(), s)); n != 3 {
		t.Errorf("sealed %d anew, want 3", n)
	}
	if n := must(k.Reseal(t.Context(), s)); n != 0 {
		t.Errorf("sealed %d anew the second time", n)
	}
	if dropped := must(k.DropOld(t.Context(), s)); len(dropped) != 1 || !bytes.Contains(before, []byte(dropped[0])) {
		t.Errorf("dropped %v", dropped)
	}
	for _, whose := range []string{"shops/a", "shops/b", "accounts/c"} {
		if got := must(k.Get(t.Context(), s, private.NameOf(whose))); !proto.Equal(got, cottage(whose)) {
			t.Errorf("%s: got %v", whose, got)
		}
	}
	backup := memory.New()
	err := backup.Write(t.Context(), func(tx store.Tx) error {
		_, err := tx.Create(t.Context(), old)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if p, err := k.Get(t.Context(), backup, old.Name); err == nil || !strings.Contains(err.Error(), "which the file of keys does not have") {
		t.Errorf("an old copy opens: %v, %v", p, err)
	}
}

func TestFilesOfKeys(t *testing.T) {
	good := strings.Repeat("A", 43) + "="
	for name, c := range map[string]struct {
		text string
		mode os.FileMode
		want string
	}{
		"empty":          {"", 0o600, "there are none"},
		"only a comment": {"# nothing\n\n", 0o600, "there are none"},
		"no mark":        {"key a " + good, 0o600, "line 1 is not a key"},
		"short":          {"heirpress-key a AAAA", 0o600, "line 1 is not a key"},
		"not base64":     {"# k\nheirpress-key a " + strings.Repeat("!", 44), 0o600, "line 2 is not a key"},
		"for all eyes":   {"heirpress-key a " + good, 0o644, "chmod 600"},
		"good":           {"heirpress-key a " + good, 0o600, ""},
	} {
		file := filepath.Join(t.TempDir(), "keys")
		if err := os.WriteFile(file, []byte(c.text), c.mode); err != nil {
			t.Fatal(err)
		}
		err := private.Keys{File: file}.Check()
		switch {
		case c.want == "" && err == nil:
		case err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "AAAA"):
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
	if err := (private.Keys{}).Check(); !errors.Is(err, private.ErrNoKeys) {
		t.Errorf("no file: %v", err)
	}
	if err := (private.Keys{File: filepath.Join(t.TempDir(), "none")}).Check(); err == nil || !strings.Contains(err.Error(), "heirpressd key new") {
		t.Errorf("no such file: %v", err)
	}
}

// A file of keys that cannot be understood is not overwritten.
func TestNewKeyLeavesAFileThatItDoesNotUnderstand(t *testing.T) {
	file := filepath.Join(t.TempDir(), "keys")
	if err := os.WriteFile(file, []byte("a letter to my aunt\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if id, err := (private.Keys{File: file}).NewKey(); err == nil {
		t.Errorf("made %s", id)
	}
	if got := must(os.ReadFile(file)); string(got) != "a letter to my aunt\n" {
		t.Errorf("the file is now %q", got)
	}
}

func TestDeleteOfWhatIsNotThere(t *testing.T) {
	k := newKeys(t)
	s := memory.New()
	put(t, k, s, cottage("shops/a"))
	for range 2 {
		err := s.Write(t.Context(), func(tx store.Tx) error {
			_, err := private.Delete(t.Context(), tx, "shops/a/privatePlace")
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if _, err := k.Get(t.Context(), s, "shops/a/privatePlace"); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("got %v after it was deleted", err)
	}
}
