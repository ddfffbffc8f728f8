//go:build unix

package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	mathrand "math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	pb "heirpress/proto/heirpress/v1"
)

// badDayAlone has one daemon with an SQLite file. It is posted to while something
// bad happens, again and again; after each, every acknowledged lot is there, found,
// and alerted once.
func badDayAlone(t *testing.T, table *dayTable) {
	a := &alone{k: &killing{}, table: table, clock: newClock(t)}
	a.begin(t)
	defer func() { a.d.get().kill() }()
	for i := range max(len(faultsAlone), *faults/10) {
		a.strike(t, faultsAlone[i%len(faultsAlone)])
	}
}

// alone is a registry of one daemon, and what was acknowledged by it.
type alone struct {
	k      *killing // the shop, and how to check
	d      *daemonSlot
	clock  clock
	disk   *smallDisk // nil if it cannot be had
	folder string     // the data folder, as this process reaches it
	n      int        // of folders that were begun
	lots   []*pb.Lot
	table  *dayTable
}

type faultAlone struct {
	name string
	do   func(*testing.T, *alone)
}

const (
	storeFull = "SQLite: the disk full for 1 s"
	lostWrite = 5 * time.Second // the longest that a write may take
)

var faultsAlone = []faultAlone{
	{storeFull, func(t *testing.T, a *alone) { a.disk.full(t, time.Second) }},
	{"SQLite: the daemon killed", func(t *testing.T, a *alone) { a.d.restart(t) }},
	{"SQLite: the index truncated", func(t *testing.T, a *alone) {
		a.d.restartWith(t, func() { spoilIndex(t, a.folder, truncateHalf) })
	}},
	{"SQLite: the index with a bit flipped", func(t *testing.T, a *alone) {
		a.d.restartWith(t, func() { spoilIndex(t, a.folder, flipBit) })
	}},
	{"SQLite: the clock set 2 h forward, back, and right", func(t *testing.T, a *alone) { a.clock.jump(t) }},
	{"SQLite: a page of the file damaged, a backup restored", func(t *testing.T, a *alone) { a.damage(t) }},
}

// begin starts the daemon, on a small disk if there can be one.
func (a *alone) begin(t *testing.T) {
	disk, err := newSmallDisk(t, 64)
	dir := t.TempDir()
	if err != nil {
		a.table.cannot(storeFull, err.Error())
		a.folder = dir
	} else {
		a.disk, dir = disk, disk.dir
		a.folder = disk.path("")
	}
	a.serve(t, filepath.Join(dir, "0"))
	a.folder = filepath.Join(a.folder, "0")
	a.k.prepare(t, a.d.get())
}

// serve starts the daemon on a folder.
func (a *alone) serve(t *testing.T, dir string) {
	program := a.clock.program()
	if a.disk != nil {
		program = a.disk.program(program...)
	}
	a.d = &daemonSlot{program: program, args: []string{"--data", dir, "--clock", string(a.clock)}}
	a.d.live = launchBy(t, a.d.program, a.d.args...)
}

// strike makes a fault while lots are posted, and measures how long it takes from
// its end until a lot is posted, found and alerted.
func (a *alone) strike(t *testing.T, f faultAlone) {
	if a.table.not[f.name] != "" {
		return
	}
	a.post(t)
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan struct{})
	if !strings.Contains(f.name, "restored") { // what is written after a backup is not in it
		go func() {
			defer close(ended)
			a.postUntil(ctx)
		}()
	} else {
		close(ended)
	}
	f.do(t, a)
	over := time.Now()
	stop()
	<-ended
	a.post(t)
	change := a.lots[len(a.lots)-1].GetRevision()
	found(t, a.d.get(), change)
	alerted(t, a.d.get(), change)
	what := outcome{recovery: time.Since(over)}
	what.lostWrites, what.lostAlerts, what.doubled = a.count(t, change)
	a.table.add(f.name, what)
	if what.lostWrites+what.lostAlerts+what.doubled > 0 {
		t.Errorf("%s: %+v", f.name, what)
	}
	a.k.check(t, a.d.get(), a.lots)
}

// count counts what is not found, not alerted, and alerted more than once.
func (a *alone) count(t *testing.T, change uint64) (writes, alerts, doubled int) {
	times := func(names []string) map[string]int {
		all := map[string]int{}
		for _, n := range names {
			all[n]++
		}
		return all
	}
	there, told := times(found(t, a.d.get(), change)), times(alerted(t, a.d.get(), change))
	for _, l := range a.lots {
		if there[l.GetName()] == 0 {
			writes++
		}
		if told[l.GetName()] == 0 {
			alerts++
		}
		doubled += max(0, told[l.GetName()]-1)
	}
	return writes, alerts, doubled
}

// post posts some lots, again and again until it is answered.
func (a *alone) post(t *testing.T) {
	t.Helper()
	req := a.request()
	for until := time.Now().Add(aLongTime); ; time.Sleep(10 * time.Millisecond) {
		err := a.postOnce(t.Context(), req)
		if err == nil {
			return
		}
		if time.Now().After(until) {
			t.Fatal(err)
		}
	}
}

func (a *alone) request() *pb.BatchCreateLotsRequest {
	req := &pb.BatchCreateLotsRequest{Parent: a.k.shop, RequestId: rand.Text()}
	for i := range 3 {
		req.Lots = append(req.Lots, &pb.Lot{Tag: fmt.Sprint(req.RequestId[:12], "-", i), Kind: pb.Kind_KIND_WOOD_TYPE, Title: "Gothic wood type, 12 line"})
	}
	return req
}

func (a *alone) postOnce(ctx context.Context, req *pb.BatchCreateLotsRequest) error {
	ctx, cancel := context.WithTimeout(ctx, lostWrite)
	defer cancel()
	got, err := a.d.get().lots.BatchCreateLots(ctx, req)
	if err == nil {
		a.lots = append(a.lots, got.GetLots()...)
	}
	return err
}

// postUntil posts until all is over. What was begun is seen through, with its
// request_id, so that in the end it is known whether it was done.
func (a *alone) postUntil(ctx context.Context) {
	for ctx.Err() == nil {
		req := a.request()
		for until := time.Now().Add(aLongTime); time.Now().Before(until); time.Sleep(20 * time.Millisecond) {
			if a.postOnce(context.Background(), req) == nil {
				break
			}
		}
		time.Sleep(10 * time.Millisecond)
	}
}

// damage keeps a backup, stops the daemon, and writes nonsense over a page of the
// file. That is noticed: the daemon does not start, or the doctor says so. The
// backup is restored elsewhere, and all goes on there.
func (a *alone) damage(t *testing.T) {
	file := filepath.Join(t.TempDir(), "kept.backup")
	must(t, a.daemon("backup", "--data", a.d.args[1], file))
	d := a.d.get()
	if err := d.cmd.Process.Signal(syscall.SIGTERM); err != nil { // in order: it puts its log into the file
		t.Fatal(err)
	}
	d.cmd.Wait()
	d.conn.Close()
	if err := spoilPage(filepath.Join(a.folder, "registry.db")); err != nil {
		t.Fatal(err)
	}
	says, err := a.daemon("doctor", "--data", a.d.args[1]).CombinedOutput()
	var ended *exec.ExitError
	if !errors.As(err, &ended) || !strings.Contains(string(says), "WRONG  store: ") {
		t.Errorf("the doctor does not see a damaged page: %v\n%s", err, says)
	}
	a.n++
	next := fmt.Sprint(filepath.Dir(a.d.args[1]), "/", a.n)
	if err := os.RemoveAll(a.folder); err != nil { // it is a small disk
		t.Fatal(err)
	}
	a.folder = filepath.Join(filepath.Dir(a.folder), fmt.Sprint(a.n))
	must(t, a.daemon("restore", "--data", next, file))
	a.serve(t, next)
}

// daemon is a call of heirpressd where the folder is.
func (a *alone) daemon(args ...string) *exec.Cmd {
	program := append([]string{daemonPath}, args...)
	if a.disk != nil {
		program = a.disk.program(program...)
	}
	return exec.Command(program[0], program[1:]...)
}

// spoilPage writes nonsense over one page of a file that nobody has open.
func spoilPage(path string) error {
	const page = 4096
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	defer f.Close()
	nonsense := make([]byte, page)
	rand.Read(nonsense) //nolint:errcheck // never fails
	_, err = f.WriteAt(nonsense, page*(1+mathrand.Int64N(info.Size()/page-1)))
	return err
}
