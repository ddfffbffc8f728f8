//go:build unix

package main

import (
	"context"
	"flag"
	"fmt"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"

	"heirpress/server/store/postgres/pgtest"
)

var old = flag.String("old", "", "the commit or tag of an earlier heirpressd, for TestRollingUpgrade")

// TestRollingUpgrade has three daemons of an earlier version share a PostgreSQL,
// and replaces them by this one's, one after the other, while 8 writers post and 8
// searchers search; then one goes back, as after a bad night, and forth again.
// Nothing acknowledged is lost, and nothing alerted twice:
//
//	go test ./client/heirpress -run RollingUpgrade -v -old 791bdd4
func TestRollingUpgrade(t *testing.T) {
	if *old == "" {
		t.Skip("say with -old which earlier version there was")
	}
	before := []string{buildOld(t, *old)}
	now := []string{daemonPath}
	server := pgtest.Start(t)
	b := &badDay{t: t, server: server, address: server.URL("postgres"), k: &killing{}, table: newDayTable(), told: map[string]int{}}
	for range 3 {
		b.place(t, before, filepath.Join(t.TempDir(), "d"), b.address)
	}
	b.k.prepare(t, b.daemons[0].get())
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() { b.write(ctx, fmt.Sprint("w", i)) })
		all.Go(func() { b.search(ctx) })
	}
	all.Go(func() { b.listen(ctx) })
	replace := func(what string, n int, by []string) {
		b.strike(t, fault{what, func(t *testing.T, b *badDay) {
			b.daemons[n].program = by
			b.daemons[n].restart(t)
		}})
	}
	replace("the first of three replaced", 0, now)
	replace("the second replaced", 1, now)
	replace("the third replaced", 2, now)
	replace("one put back", 1, before)
	replace("and replaced again", 1, now)
	stop()
	all.Wait()
	t.Logf("%d lots acknowledged, %d searches answered, %d calls cut off\n%s", len(b.lots), b.searches, b.cut, b.table)
	for _, d := range b.daemons {
		b.check(t, d.get())
	}
}

// buildOld builds heirpressd as it was at a commit.
func buildOld(t *testing.T, commit string) string {
	t.Helper()
	tree, program := filepath.Join(t.TempDir(), "tree"), filepath.Join(t.TempDir(), "heirpressd")
	run := func(dir, name string, args ...string) {
		cmd := exec.Command(name, args...)
		cmd.Dir = dir
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v: %v\n%s", cmd.Args, err, out)
		}
	}
	run(".", "git", "worktree", "add", "--detach", tree, commit)
	t.Cleanup(func() { run(".", "git", "worktree", "remove", "--force", tree) })
	run(tree, "go", "build", "-o", program, "./server/heirpressd")
	return program
}
