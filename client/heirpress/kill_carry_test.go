//go:build unix

package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	pb "heirpress/proto/heirpress/v1"
)

// TestKillCarry kills heirpress carry at random moments, again and again, and the
// server with it every other time. In the end all lots are on the server, are
// found there, and have been alerted, once each.
func TestKillCarry(t *testing.T) {
	lots, rounds := 700, 4
	if testing.Short() {
		lots, rounds = 300, 2
	}
	dir := t.TempDir()
	sheet := bytes.NewBufferString("tag,kind,title\n")
	for i := range lots {
		fmt.Fprintf(sheet, "%d,wood type,\"Gothic wood type, 12 line\"\n", i)
	}
	path := filepath.Join(dir, "attic.csv")
	if err := os.WriteFile(path, sheet.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	own := filepath.Join(dir, "own")
	must(t, heirpress(own, "post", path, "--shop", "The attic", "--place", "Dayton, OH"))
	k := &killing{dir: filepath.Join(dir, "server")}
	k.open(t)
	address, cut := freeAddress(t), 0
	for round := range rounds {
		d := launch(t, "--data", k.dir, "--listen", address)
		carry := heirpress(own, "carry", "The attic", "--server", d.conn.Target())
		if err := carry.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(20+rand.IntN(80*(round+1))) * time.Millisecond)
		if round%3 == 1 {
			d.cmd.Process.Kill()
		} else {
			carry.Process.Kill()
		}
		if carry.Wait() != nil {
			cut++
		}
		d.kill()
	}
	d := launch(t, "--data", k.dir, "--listen", address)
	defer d.kill()
	must(t, heirpress(own, "carry", "The attic", "--server", d.conn.Target()))
	t.Logf("%d of %d carries were cut off", cut, rounds)
	want := map[string]bool{}
	k.shop = carriedAs(t, d)
	k.check(t, d, lotsOf(t, d, k.shop, want))
	if len(want) != lots {
		t.Errorf("%d lots there, want %d", len(want), lots)
	}
}

// freeAddress is one on which nobody listens.
func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// heirpress is a call of the program on a registry of one's own.
func heirpress(own string, args ...string) *exec.Cmd {
	return exec.Command("heirpress", append(args, "--data", own)...)
}

func must(t *testing.T, cmd *exec.Cmd) {
	t.Helper()
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %v\n%s", cmd.Args, err, out)
	}
}

// carriedAs is the one shop that was carried.
func carriedAs(t *testing.T, d *live) string {
	t.Helper()
	shops, err := pb.NewShopServiceClient(d.conn).ListShops(t.Context(), &pb.ListShopsRequest{Title: "The attic"})
	if err != nil || len(shops.GetShops()) != 1 {
		t.Fatalf("the shop: %v, %v", shops, err)
	}
	return shops.GetShops()[0].GetName()
}

func lotsOf(t *testing.T, d *live, shop string, names map[string]bool) (all []*pb.Lot) {
	t.Helper()
	for req := (&pb.ListLotsRequest{Parent: shop, PageSize: 1000}); ; {
		got, err := d.lots.ListLots(t.Context(), req)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range got.GetLots() {
			names[l.GetName()] = true
			all = append(all, l)
		}
		if req.PageToken = got.GetNextPageToken(); req.PageToken == "" {
			return all
		}
	}
}
