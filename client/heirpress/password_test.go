//go:build unix

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"heirpress/server/store/postgres/pgtest"
)

// TestPasswordUntold: a daemon tells the password of its database to nobody,
// whatever it logs and whatever is wrong.
func TestPasswordUntold(t *testing.T) {
	const password = "pied-type-17"
	server := pgtest.Start(t)
	server.Guard(t, "keeper", password)
	host := "@/postgres?host=" + filepath.Dir(server.Socket())
	for name, c := range map[string]struct {
		args []string
		says string
	}{
		"wrong":          {[]string{"--store", "postgres://keeper:" + password + "x" + host}, "password authentication failed"},
		"unreadable":     {[]string{"--store", "postgres://keeper:" + password + "@[/d"}, "postgres://USER@HOST"},
		"without flag":   {[]string{"postgres://keeper:" + password + host}, "--store"},
		"not a daemon's": {[]string{"--store", "mysql://keeper:" + password + host}, "postgres://"},
	} {
		t.Run(name, func(t *testing.T) {
			said, err := runDaemon(t, c.args...)
			if err == nil || !strings.Contains(said, c.says) || strings.Contains(said, password) {
				t.Errorf("error %v; it said %q, want %q and no password", err, said, c.says)
			}
		})
	}
	t.Run("right", func(t *testing.T) {
		file := filepath.Join(t.TempDir(), "pgpass")
		if err := os.WriteFile(file, []byte("*:*:*:keeper:"+password+"\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		t.Setenv("PGPASSFILE", file)
		d := launch(t, "--data", t.TempDir(), "--store", "postgres://keeper"+host, "--log-level", "debug")
		(&killing{}).prepare(t, d)
		d.kill()
		if said := d.cmd.Stderr.(*logged).String(); !strings.Contains(said, "postgres://keeper") || strings.Contains(said, password) {
			t.Errorf("it logged %q", said)
		}
	})
}

// runDaemon runs a daemon that must fail, and returns all it said.
func runDaemon(t *testing.T, args ...string) (string, error) {
	t.Helper()
	cmd := exec.Command(daemonPath, append([]string{"--listen", "127.0.0.1:0", "--data", t.TempDir(), "--log-level", "debug"}, args...)...)
	said, err := cmd.CombinedOutput()
	return string(said), err
}
