//go:build unix

package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"heirpress/server/store/postgres/pgtest"
)

// TestSeveralDaemons: three daemons share a PostgreSQL and are all named to
// heirpress. One after the other is killed and started again; every command goes
// on, and a follower of alerts is told each once.
func TestSeveralDaemons(t *testing.T) {
	server := pgtest.Start(t)
	var slots []*daemonSlot
	var names []string
	for range 3 {
		address := freeAddress(t)
		d := &daemonSlot{args: []string{"--data", filepath.Join(t.TempDir(), "d"), "--store", server.URL("postgres"), "--listen", address}}
		d.live = launch(t, d.args...)
		t.Cleanup(func() { d.get().kill() })
		slots, names = append(slots, d), append(names, address)
	}
	all := strings.Join(names, ",")
	own := t.TempDir()
	wanted := filepath.Join(own, "wanted.yaml")
	write(t, wanted, "title: A seeker\nplace: Dayton, OH\nwants:\n  - {title: Wood type, kind: wood type}\n")
	must(t, heirpress(own, "want", wanted, "--server", all))
	told := follow(t, own, all)
	posted := 0
	post := func() {
		sheet := filepath.Join(own, fmt.Sprint(posted, ".csv"))
		write(t, sheet, fmt.Sprintf("tag,kind,title\nT%d,wood type,\"Gothic wood type, 12 line\"\n", posted))
		must(t, heirpress(own, "post", sheet, "--shop", "The shared", "--place", "Dayton, OH", "--server", all))
		posted++
	}
	post()
	if testing.Short() {
		slots = slots[:1]
	}
	for _, slot := range slots {
		slot.get().kill()
		post()
		must(t, heirpress(own, "find", "gothic", "--server", all))
		// Where the one that matched is gone, another has to take that up first.
		for deadline := time.Now().Add(30 * time.Second); heirpress(own, "alerts", "keeper", "--server", all).Run() != nil; {
			if time.Now().After(deadline) {
				t.Fatal("no keeper is told of the seeker")
			}
		}
		slot.restart(t)
		post()
	}
	seen := map[string]int{}
	for range posted {
		select {
		case tag := <-told:
			seen[tag]++
		case <-time.After(aLongTime):
			t.Fatalf("after %v nothing more was told; %d were posted", seen, posted)
		}
	}
	for tag, n := range seen {
		if n != 1 {
			t.Errorf("%s was told %d times", tag, n)
		}
	}
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

// follow runs heirpress alerts --follow, and passes on the tags that it tells.
func follow(t *testing.T, own, servers string) <-chan string {
	t.Helper()
	cmd := heirpress(own, "alerts", "--follow", "--json", "--server", servers)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	told := make(chan string, 100)
	go func() {
		for lines := bufio.NewReader(out); ; {
			line, err := lines.ReadBytes('\n')
			if err != nil {
				io.Copy(io.Discard, out)
				return
			}
			var alert struct {
				Lot struct{ Tag string }
			}
			if json.Unmarshal(line, &alert) == nil {
				told <- alert.Lot.Tag
			}
		}
	}()
	t.Cleanup(func() { cmd.Process.Kill(); cmd.Wait() })
	return told
}
