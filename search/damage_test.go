package search

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/blevesearch/bleve/v2/index/scorch"
	bleve "github.com/blevesearch/bleve_index_api"

	pb "heirpress/proto/heirpress/v1"
)

// built is an index that was filled batch by batch, and what it was after each.
type built struct {
	dir    string
	states map[uint64]truth // by change number
	last   uint64
}

// buildForDamage fills an index over several batches, with lots changed and
// taken out, and closes it.
func buildForDamage(t *testing.T, seed uint64) built {
	t.Helper()
	b := built{dir: t.TempDir(), states: map[uint64]truth{0: newTruth()}}
	x, err := Open(b.dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	d, all := newDice(seed), newTruth()
	for range 5 {
		b.last = stir(t, d, x, all, b.last)
		b.states[b.last] = all.copy()
	}
	if err := x.Close(); err != nil {
		t.Fatal(err)
	}
	return b
}

func (t truth) copy() truth {
	c := newTruth()
	for name, lot := range t.lots {
		c.lots[name], c.facts[name] = lot, t.facts[name]
	}
	return c
}

// trusty opens a damaged index and holds it against what it says it is: most
// often empty at change 0, sometimes as it was at an earlier change, and whole
// where the damage fell where nothing is kept.
func (b built) trusty(t *testing.T, dir, what string) {
	t.Helper()
	x, err := Open(dir, Options{})
	if err != nil {
		t.Fatalf("%s: %v", what, err)
	}
	defer func() { _ = x.Close() }()
	all, ok := b.states[x.Change()]
	if !ok {
		t.Fatalf("%s: opened at change %d, which never was", what, x.Change())
	}
	d := newDice(5)
	for range 5 {
		f := d.filter()
		agree(t, x, all, f, d.order(f), 50)
	}
	// It goes on from there.
	if change := stir(t, d, x, all.copy(), x.Change()); x.Change() != change {
		t.Fatalf("%s: at change %d after a write, not %d", what, x.Change(), change)
	}
}

// Whatever file of a closed index is cut short, changed by a bit or lost, Open
// goes on with an index that can be trusted.
func TestDamagedFiles(t *testing.T) {
	b := buildForDamage(t, 3)
	d := newDice(4)
	for _, file := range filesOf(t, b.dir) {
		for name, harm := range harms(d) {
			dir := copyOf(t, b.dir)
			if err := harm(filepath.Join(dir, file)); err != nil {
				t.Fatal(err)
			}
			b.trusty(t, dir, file+" "+name)
		}
	}
}

// harms are ways to spoil a file.
func harms(d dice) map[string]func(path string) error {
	list := map[string]func(string) error{
		"lost":        os.Remove,
		"emptied":     func(path string) error { return os.Truncate(path, 0) },
		"cut by one":  func(path string) error { return cutFile(path, func(size int64) int64 { return size - 1 }) },
		"cut by half": func(path string) error { return cutFile(path, func(size int64) int64 { return size / 2 }) },
	}
	for i := range 8 {
		list[fmt.Sprintf("flipped %d", i)] = func(path string) error { return flipBit(d, path) }
	}
	return list
}

func cutFile(path string, to func(size int64) int64) error {
	info, err := os.Stat(path)
	if err != nil || info.Size() == 0 {
		return err
	}
	return os.Truncate(path, to(info.Size()))
}

func flipBit(d dice, path string) error {
	content, err := os.ReadFile(path)
	if err != nil || len(content) == 0 {
		return err
	}
	content[d.IntN(len(content))] ^= 1 << d.IntN(8)
	return os.WriteFile(path, content, 0o600)
}

// filesOf lists the files of an index folder but for its lock, which is empty.
func filesOf(t *testing.T, dir string) []string {
	t.Helper()
	var files []string
	err := filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err == nil && !entry.IsDir() && entry.Name() != lockFile {
			relative, _ := filepath.Rel(dir, path)
			files = append(files, relative)
		}
		return err
	})
	if err != nil || len(files) < 3 {
		t.Fatalf("the index has the files %v: %v", files, err)
	}
	return files
}

func copyOf(t *testing.T, dir string) string {
	t.Helper()
	copied := t.TempDir()
	if err := os.CopyFS(copied, os.DirFS(dir)); err != nil {
		t.Fatal(err)
	}
	return copied
}

// A damaged index is kept for a look, and only the last one.
func TestDamageIsSetAside(t *testing.T) {
	b := buildForDamage(t, 6)
	aside := filepath.Join(b.dir, damagedFolder)
	for round := range 2 {
		root := filepath.Join(b.dir, newest(t, b.dir), storeFolder, rootFile)
		if err := cutFile(root, func(size int64) int64 { return size / 2 }); err != nil {
			t.Fatal(err)
		}
		note := filepath.Join(aside, "note")
		x, err := Open(b.dir, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if x.Change() != 0 {
			t.Fatalf("round %d: opened at change %d, not 0", round, x.Change())
		}
		if _, err := os.Stat(filepath.Join(aside, storeFolder, rootFile)); err != nil {
			t.Fatalf("round %d: the damaged one was not kept: %v", round, err)
		}
		if _, err := os.Stat(note); err == nil {
			t.Fatal("the damaged one before was kept too")
		}
		if err := os.WriteFile(note, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		stir(t, newDice(1), x, newTruth(), 0)
		if err := x.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// newest is the folder of the one index in dir.
func newest(t *testing.T, dir string) string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(dir, folderPrefix+"*"))
	if err != nil || len(found) != 1 {
		t.Fatalf("indexes in the folder: %v, %v", found, err)
	}
	return filepath.Base(found[0])
}

// An index that was made in another way is not used, and removed.
func TestOtherSignatureIsRemoved(t *testing.T) {
	b := buildForDamage(t, 8)
	other := filepath.Join(b.dir, folderPrefix+"0123456789ab-7")
	unfinished := filepath.Join(b.dir, newest(t, b.dir)+newSuffix)
	if err := os.Rename(filepath.Join(b.dir, newest(t, b.dir)), other); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(unfinished, 0o700); err != nil {
		t.Fatal(err)
	}
	x := openIndex(t, b.dir)
	if x.Change() != 0 {
		t.Errorf("opened at change %d, not 0", x.Change())
	}
	for _, path := range []string{other, unfinished} {
		if _, err := os.Stat(path); !os.IsNotExist(err) {
			t.Errorf("%s is still there", path)
		}
	}
}

// Damage that is found while an index is in use stops its use, at once and
// after opening again; a rebuild mends it.
func TestDamageWhileInUse(t *testing.T) {
	b := buildForDamage(t, 9)
	x, err := Open(b.dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	x.now.fail(fmt.Errorf("%w: as the test says", ErrDamaged))
	if _, err := x.Search(context.Background(), Query{}); !isDamaged(err) {
		t.Errorf("search: %v, not ErrDamaged", err)
	}
	if err := x.Apply(context.Background(), b.last+1, nil, nil); !isDamaged(err) {
		t.Errorf("apply: %v, not ErrDamaged", err)
	}
	if err := x.Close(); err != nil {
		t.Fatal(err)
	}
	x = openIndex(t, b.dir)
	if x.Change() != 0 {
		t.Errorf("opened at change %d, not 0", x.Change())
	}
}

func isDamaged(err error) bool { return errors.Is(err, ErrDamaged) }

// Files that are spoilt under an open index are damage, not a crash.
func TestSpoiltUnderneath(t *testing.T) {
	for _, fill := range []byte{0xff, 0x55} {
		b := buildForDamage(t, 10)
		x, err := Open(b.dir, Options{})
		if err != nil {
			t.Fatal(err)
		}
		query := Query{Filter: &pb.LotFilter{Words: "press"}, Limit: 1}
		// Again, as long as the library is still merging what it read before.
		for tries := 0; tries < 100 && !isDamaged(err); tries++ {
			spoilSegments(t, b.dir, fill)
			_, err = x.Search(context.Background(), query)
		}
		if !isDamaged(err) {
			t.Errorf("%x: search: %v, not ErrDamaged", fill, err)
		}
		if err := x.Close(); err != nil {
			t.Fatal(err)
		}
		x = openIndex(t, b.dir)
		if x.Change() != 0 {
			t.Errorf("%x: opened at change %d, not 0", fill, x.Change())
		}
	}
}

// spoilSegments fills every segment file in place; one may go meanwhile.
func spoilSegments(t *testing.T, dir string, fill byte) {
	t.Helper()
	segments, err := filepath.Glob(filepath.Join(dir, newest(t, dir), storeFolder, "*.zap"))
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range segments {
		if err := overwrite(path, fill); err != nil && !os.IsNotExist(err) {
			t.Fatal(err)
		}
	}
}

func overwrite(path string, fill byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	info, err := f.Stat()
	if err == nil {
		_, err = f.Write(bytes.Repeat([]byte{fill}, int(info.Size())))
	}
	return errors.Join(err, f.Close())
}

// hanging is a library whose own goroutines have died, or go round in circles:
// nothing is answered.
type hanging struct{ bleve.Index }

// Batch never returns.
func (hanging) Batch(*bleve.Batch) error { select {} }

// Close never returns.
func (hanging) Close() error { select {} }

// Closing a damaged index ends, though the library is lost in what it read.
func TestCloseOfALostLibrary(t *testing.T) {
	dir := t.TempDir()
	x, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	sound := x.now.store
	t.Cleanup(func() { _ = sound.Close() })
	x.now.store = hanging{sound}
	x.now.fail(fmt.Errorf("%w: as the test says", ErrDamaged))
	if err := x.Close(); err != nil {
		t.Fatal(err)
	}
	if x = openIndex(t, dir); x.Change() != 0 {
		t.Errorf("opened at change %d, not 0", x.Change())
	}
}

// A write is not left waiting for goroutines of the library that have died.
func TestLibraryDies(t *testing.T) {
	x := openIndex(t, t.TempDir())
	x.now.store = hanging{x.now.store}
	written := make(chan error, 1)
	go func() { written <- x.Apply(context.Background(), 1, nil, nil) }()
	path := filepath.Join(x.now.dir, storeFolder)
	tell := scorch.RegistryAsyncErrorCallbacks[asyncErrors]
	tell(scorch.NewScorchError("persister", "no room", scorch.ErrPersist), path)
	if err := x.now.health(); err != nil {
		t.Errorf("what may be tried again was taken for damage: %v", err)
	}
	tell(scorch.NewScorchError("persister", "panic", scorch.ErrAsyncPanic), path)
	if err := <-written; !isDamaged(err) {
		t.Errorf("apply: %v, not ErrDamaged", err)
	}
}

// A library that fails though its files are sound takes the index from nobody.
func TestLibraryPanics(t *testing.T) {
	x, all := openIndex(t, t.TempDir()), newTruth()
	change := stir(t, newDice(15), x, all, 0)
	sound := x.now.store
	x.now.store = panicking{sound}
	if err := x.Apply(context.Background(), change+1, nil, nil); err == nil || isDamaged(err) || x.now.health() != nil {
		t.Errorf("apply: %v, and the index is %v", err, x.now.health())
	}
	x.now.store = sound
	agree(t, x, all, nil, pb.LotOrder_LOT_ORDER_NEWEST, 20)
}

// While the disk is full the library may not answer for what it could not write.
// That is no damage, and passes.
func TestUnwritten(t *testing.T) {
	x, all := openIndex(t, t.TempDir()), newTruth()
	change := stir(t, newDice(16), x, all, 0)
	sound := x.now.store
	tell := scorch.RegistryAsyncErrorCallbacks[asyncErrors]
	tell(scorch.NewScorchError("persister", "no room", scorch.ErrPersist), filepath.Join(x.now.dir, storeFolder))
	x.now.store = panicking{sound}
	if err := x.Apply(context.Background(), change+1, nil, nil); !errors.Is(err, ErrUnwritten) || x.Healthy() || x.now.health() != nil {
		t.Errorf("apply: %v; healthy %t, damage %v", err, x.Healthy(), x.now.health())
	}
	x.now.store = sound
	if err := x.Apply(context.Background(), change+1, nil, nil); err != nil || !x.Healthy() {
		t.Errorf("with room again: %v; healthy %t", err, x.Healthy())
	}
	agree(t, x, all, nil, pb.LotOrder_LOT_ORDER_NEWEST, 20)
}

// panicking is a library that cannot write.
type panicking struct{ bleve.Index }

// Batch panics.
func (panicking) Batch(*bleve.Batch) error { panic("no such page") }
