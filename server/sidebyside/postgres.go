package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"heirpress/server/internal/pgprograms"
)

// cluster is a private PostgreSQL under way.
type cluster struct {
	cmd    *exec.Cmd
	socket string // the folder of its socket
	data   string
}

// settings are those that a machine of this size is given.
var settings = map[string]string{
	"shared_buffers": "1GB", "work_mem": "64MB", "maintenance_work_mem": "1GB", "effective_cache_size": "8GB",
	"random_page_cost": "1.1", "jit": "off", "max_wal_size": "8GB", "checkpoint_timeout": "15min",
	"listen_addresses": "", "max_connections": "20",
	"plan_cache_mode": "force_custom_plan", // a plan made for any word is bad for most
	"autovacuum":      "on",
}

// errNoPostgres says that there is no PostgreSQL to start.
var errNoPostgres = errors.New("PostgreSQL is not installed: apt-get install postgresql postgresql-15-postgis-3, or say -without postgres")

// unprivileged is a command as somebody who is not root: PostgreSQL refuses
// root.
func unprivileged(ctx context.Context, program string, args ...string) *exec.Cmd {
	if os.Getuid() != 0 {
		return exec.CommandContext(ctx, program, args...)
	}
	all := append([]string{"--reuid=nobody", "--regid=nogroup", "--clear-groups", program}, args...)
	return exec.CommandContext(ctx, "setpriv", all...)
}

// startCluster starts PostgreSQL on a folder, which it makes if need be.
func startCluster(ctx context.Context, dir string) (*cluster, error) {
	bin, ok := pgprograms.Dir()
	if !ok {
		return nil, errNoPostgres
	}
	c := &cluster{data: filepath.Join(dir, "data"), socket: dir}
	if _, err := os.Stat(filepath.Join(c.data, "PG_VERSION")); err != nil {
		if err := c.init(ctx, bin, dir); err != nil {
			return nil, err
		}
	}
	args := []string{"-D", c.data, "-k", c.socket}
	for name, value := range settings {
		args = append(args, "-c", name+"="+value)
	}
	log, err := os.OpenFile(filepath.Join(dir, "log"), os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return nil, err
	}
	defer func() { _ = log.Close() }()
	c.cmd = unprivileged(context.WithoutCancel(ctx), filepath.Join(bin, "postgres"), args...)
	c.cmd.Dir, c.cmd.Stderr, c.cmd.Stdout = dir, log, log
	return c, c.cmd.Start()
}

// init makes the cluster. The folder must be open to whom it will belong to.
func (c *cluster) init(ctx context.Context, bin, dir string) error {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	if err := os.Chmod(dir, 0o777); err != nil {
		return err
	}
	command := unprivileged(ctx, filepath.Join(bin, "initdb"), "-D", c.data, "-U", "side", "-A", "trust", "-E", "UTF8", "--locale=C")
	command.Dir = dir
	if out, err := command.CombinedOutput(); err != nil {
		return fmt.Errorf("PostgreSQL's initdb: %w\n%s", err, strings.TrimSpace(string(out)))
	}
	return nil
}

// connect connects to it, once it takes connections.
func (c *cluster) connect(ctx context.Context) (*pgx.Conn, error) {
	for end := time.Now().Add(time.Minute); ; {
		conn, err := pgx.Connect(ctx, "host="+c.socket+" user=side dbname=postgres")
		if err == nil {
			return conn, nil
		}
		if ctx.Err() != nil || time.Now().After(end) {
			return nil, fmt.Errorf("PostgreSQL did not start: %w; see %s", err, filepath.Join(c.socket, "log"))
		}
		time.Sleep(100 * time.Millisecond)
	}
}

// stop ends it, and its connections with it.
func (c *cluster) stop() error {
	ended := make(chan error, 1)
	go func() { ended <- c.cmd.Wait() }()
	return end(c.cmd.Process, ended, time.Minute)
}
