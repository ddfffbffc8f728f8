package sqlite_test

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/ncruces/go-sqlite3/vfs"

	"heirpress/server/store/sqlite"
)

// TestPower makes a registry and writes to it on a disk that tells, after every
// single thing it is asked to do, what it might hold if the power failed then:
// all that was written to it, or only what was synced, or that and some of the
// rest. From each, the registry must open and hold every write acknowledged.
func TestPower(t *testing.T) {
	d, name := newDisk(t)
	moments, tried, acknowledged := 0, 0, 0
	d.after = func() {
		moments++
		share := 0.03
		if acknowledged == 0 {
			share = 0.5 // while it is made
		}
		for _, kept := range []float64{0, 0.5, 0.5, 0.9, 1} {
			if rand.Float64() < share {
				tried++
				failure{acknowledged, d.hold(kept)}.recover(t)
			}
		}
	}
	path := filepath.Join(t.TempDir(), "registry.db")
	for range 3 { // opened and closed, so that the log comes and goes
		s, err := sqlite.Open(path, sqlite.OnVFS(name))
		if err != nil {
			t.Fatal(err)
		}
		for range 5 {
			if err := writeNext(t.Context(), s); err != nil {
				t.Fatal(err)
			}
			acknowledged++
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("the power failed at %d moments, in %d ways", moments, tried)
}

// failure is what the disk might hold when the power failed.
type failure struct {
	acknowledged int
	files        map[string][]byte
}

// recover opens what is left and checks it.
func (f failure) recover(t *testing.T) {
	t.Helper()
	dir := t.TempDir()
	sizes := ""
	for name, content := range f.files {
		writeFile(t, filepath.Join(dir, name), content)
		sizes += fmt.Sprintf(" %s %d", name, len(content))
	}
	s, err := sqlite.Open(filepath.Join(dir, "registry.db"))
	if err != nil {
		t.Errorf("after %d writes, with%s: %v", f.acknowledged, sizes, err)
		return
	}
	defer s.Close()
	if err := checkWritten(t.Context(), s, f.acknowledged); err != nil {
		t.Errorf("after %d writes, with%s: %v", f.acknowledged, sizes, err)
	}
}

// disk is the machine's file system, with a memory of what was synced.
type disk struct {
	vfs.VFSFilename
	files map[string]*content // by the name without the folder
	after func()              // called after every change
	fault error               // what writing and syncing fail with, if anything
	alone bool                // it cannot share memory
}

// content is a file's bytes as last synced, and what was done to it since.
type content struct {
	synced []byte
	since  []func([]byte) []byte
}

// newDisk makes a disk and tells what SQLite knows it by.
func newDisk(t *testing.T) (d *disk, name string) {
	d = &disk{VFSFilename: vfs.Find("os").(vfs.VFSFilename), files: map[string]*content{}, after: func() {}}
	name = strings.ReplaceAll(t.Name(), "/", "-")
	vfs.Register(name, d)
	t.Cleanup(func() { vfs.Unregister(name) })
	return d, name
}

// hold returns what the files might hold if the power failed now, and that share
// of what was not synced had been kept all the same.
func (d *disk) hold(kept float64) map[string][]byte {
	left := map[string][]byte{}
	for name, c := range d.files {
		b := slices.Clone(c.synced)
		for _, change := range c.since {
			if rand.Float64() < kept {
				b = change(b)
			}
		}
		left[name] = b
	}
	return left
}

// OpenFilename follows the files that outlive a process, but not the one that
// the index of the log is kept in.
func (d *disk) OpenFilename(name *vfs.Filename, flags vfs.OpenFlag) (vfs.File, vfs.OpenFlag, error) {
	f, flags, err := d.VFSFilename.OpenFilename(name, flags)
	if err != nil {
		return nil, flags, err
	}
	base := filepath.Base(name.String())
	if d.files[base] == nil {
		d.files[base] = &content{}
		d.after()
	}
	return &diskFile{File: f, disk: d, content: d.files[base]}, flags, nil
}

func (d *disk) Delete(path string, syncDir bool) error {
	err := d.VFSFilename.Delete(path, syncDir)
	if err == nil {
		delete(d.files, filepath.Base(path))
		d.after()
	}
	return err
}

// diskFile is a file on a disk.
type diskFile struct {
	vfs.File
	disk    *disk
	content *content
}

func (f *diskFile) WriteAt(p []byte, off int64) (int, error) {
	if f.disk.fault != nil {
		return 0, f.disk.fault
	}
	n, err := f.File.WriteAt(p, off)
	p = slices.Clone(p)
	f.change(func(b []byte) []byte {
		if need := int(off) + len(p) - len(b); need > 0 {
			b = append(b, make([]byte, need)...)
		}
		copy(b[off:], p)
		return b
	})
	return n, err
}

func (f *diskFile) Truncate(size int64) error {
	err := f.File.Truncate(size)
	f.change(func(b []byte) []byte { return b[:min(len(b), int(size))] })
	return err
}

func (f *diskFile) change(c func([]byte) []byte) {
	f.content.since = append(f.content.since, c)
	f.disk.after()
}

func (f *diskFile) Sync(flags vfs.SyncFlag) error {
	if f.disk.fault != nil {
		return f.disk.fault
	}
	err := f.File.Sync(flags)
	for _, change := range f.content.since {
		f.content.synced = change(f.content.synced)
	}
	f.content.since = nil
	f.disk.after()
	return err
}

// SharedMemory is vfs.FileSharedMemory's, without which there is no log.
func (f *diskFile) SharedMemory() vfs.SharedMemory {
	if f.disk.alone {
		return nil
	}
	return f.File.(vfs.FileSharedMemory).SharedMemory()
}
