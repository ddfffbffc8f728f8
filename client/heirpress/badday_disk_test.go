//go:build unix

package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// smallDisk is a folder on a file system of its own that can be filled: a tmpfs
// in a mount namespace that a process of ours holds open.
type smallDisk struct {
	dir    string
	holder *exec.Cmd
	enter  []string // the call that runs a program in that namespace
}

// newSmallDisk makes one of so many megabytes, or says why it cannot be had here.
func newSmallDisk(t *testing.T, megabytes int) (*smallDisk, error) {
	t.Helper()
	d := &smallDisk{dir: t.TempDir()}
	flags, join := []string{"-m"}, []string{"-m"}
	if os.Getuid() != 0 {
		flags, join = []string{"-Urm"}, []string{"-U", "-m", "--preserve-credentials"}
	}
	script := fmt.Sprintf("mount -t tmpfs -o size=%dm,mode=700 heirpress %q && echo mounted && exec cat", megabytes, d.dir)
	d.holder = exec.Command("unshare", append(flags, "sh", "-c", script)...)
	in, errA := d.holder.StdinPipe() // it ends with this process
	out, errB := d.holder.StdoutPipe()
	if err := errors.Join(errA, errB); err != nil {
		return nil, err
	}
	if err := d.holder.Start(); err != nil {
		return nil, err
	}
	t.Cleanup(func() { in.Close(); d.holder.Wait() })
	said := make([]byte, len("mounted"))
	if _, err := io.ReadFull(out, said); err != nil {
		return nil, errors.New("a mount namespace with a file system of one's own is not permitted here")
	}
	d.enter = append([]string{"nsenter", "-t", fmt.Sprint(d.holder.Process.Pid)}, append(join, "--")...)
	return d, nil
}

// path is a path in that folder as others reach it.
func (d *smallDisk) path(name string) string {
	return filepath.Join("/proc", fmt.Sprint(d.holder.Process.Pid), "root", d.dir, name)
}

// program runs a program where the folder is.
func (d *smallDisk) program(program ...string) []string {
	return append(append([]string{}, d.enter...), program...)
}

// full fills the disk to the last byte, waits, and makes room again.
func (d *smallDisk) full(t *testing.T, long time.Duration) {
	t.Helper()
	filler, err := os.Create(d.path("filler"))
	if err != nil {
		t.Fatal(err)
	}
	for until := time.Now().Add(long); time.Now().Before(until); time.Sleep(20 * time.Millisecond) {
		for size := 1 << 20; size > 0; size /= 2 { // what others give back is taken too
			_, err := filler.Write(make([]byte, size))
			for err == nil {
				_, err = filler.Write(make([]byte, size))
			}
		}
	}
	if err := errors.Join(filler.Close(), os.Remove(filler.Name())); err != nil {
		t.Fatal(err)
	}
}

// spoilIndex damages one file of the indexes under a data folder, which no daemon
// has open.
func spoilIndex(t *testing.T, data string, damage func(path string) error) {
	t.Helper()
	var files []string
	err := filepath.WalkDir(data, func(path string, entry fs.DirEntry, err error) error {
		inIndex := strings.Contains(path, "/index")
		if ext := filepath.Ext(path); err == nil && inIndex && (ext == ".zap" || ext == ".bolt") {
			files = append(files, path)
		}
		return err
	})
	if err != nil || len(files) == 0 {
		t.Fatalf("no index in %s: %v", data, err)
	}
	if err := damage(files[rand.IntN(len(files))]); err != nil {
		t.Fatal(err)
	}
}

func truncateHalf(path string) error {
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	return os.Truncate(path, rand.Int64N(max(1, info.Size())))
}

func flipBit(path string) error {
	body, err := os.ReadFile(path)
	if err != nil || len(body) == 0 {
		return err
	}
	body[rand.IntN(len(body))] ^= 1 << rand.IntN(8)
	return os.WriteFile(path, body, 0o600)
}
