//go:build unix

// Package pgtest starts PostgreSQL servers of its own for tests. Each keeps its
// data in a temporary folder, syncs its disk as in earnest, can be reached by a
// socket in that folder only, and ends with the test's process, however that ends.
package pgtest

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"heirpress/server/internal/pgprograms"
)

// Need is the environment variable that makes the want of PostgreSQL a failure;
// otherwise tests that need it are skipped.
const Need = "HEIRPRESS_NEED_POSTGRES"

// Server is a PostgreSQL server with a cluster of its own.
type Server struct {
	bin  string // the folder of its programs
	dir  string // data and socket
	keep *syscall.SysProcAttr

	mu    sync.Mutex
	leash io.Closer     // when it closes, or this process ends, so does the server
	ended chan struct{} // closed when the server has ended
	names atomic.Int64
}

var shared struct {
	once   sync.Once
	server *Server
	err    error
}

// Main runs a package's tests and stops the server that they have shared.
func Main(m *testing.M) {
	code := m.Run()
	if shared.server != nil {
		shared.server.remove()
	}
	os.Exit(code)
}

// Shared is the server that the tests of a package share: its TestMain must call
// Main.
func Shared(t testing.TB) *Server {
	t.Helper()
	bin := programs(t)
	shared.once.Do(func() { shared.server, shared.err = start(bin) })
	if shared.err != nil {
		t.Fatal(shared.err)
	}
	return shared.server
}

// Start starts a server for one test alone, which may stop it.
func Start(t testing.TB) *Server {
	t.Helper()
	s, err := start(programs(t))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.remove)
	return s
}

// programs finds where PostgreSQL's programs are.
func programs(t testing.TB) string {
	t.Helper()
	dir, ok := pgprograms.Dir()
	switch {
	case ok:
	case os.Getenv(Need) == "1":
		t.Fatalf("%s is 1, but there is no initdb in %s", Need, pgprograms.Where)
	default:
		t.Skipf("PostgreSQL is not installed here (no initdb in %s)", pgprograms.Where)
	}
	return dir
}

func start(bin string) (*Server, error) {
	s := &Server{bin: bin}
	owner, err := unprivileged()
	if err != nil {
		return nil, err
	}
	s.keep = owner.attr()
	if s.dir, err = os.MkdirTemp("", "heirpress-pg"); err != nil {
		return nil, err
	}
	if err := owner.own(s.dir); err != nil {
		return nil, err
	}
	init := s.command("initdb", "-D", s.data(), "-U", role, "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "--no-sync")
	if out, err := init.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("initdb: %w\n%s", err, out)
	}
	if err := s.run(); err != nil {
		s.remove()
		return nil, err
	}
	return s, nil
}

const role = "heirpress"

func (s *Server) data() string { return filepath.Join(s.dir, "data") }

func (s *Server) command(program string, args ...string) *exec.Cmd {
	cmd := exec.Command(filepath.Join(s.bin, program), args...)
	cmd.Dir, cmd.SysProcAttr = s.dir, s.keep
	return cmd
}

// onLeash runs a server until it ends, or its standard input does.
const onLeash = `exec 3<&0
"$@" 3<&- & server=$!
(read -r gone <&3; kill -QUIT $server) 2>&- & leash=$!
wait $server
kill $leash 2>&-`

// run starts the server and waits until it answers. After a kill that may need
// several tries: PostgreSQL does not start while an old process of it lives on.
func (s *Server) run() error {
	for until := time.Now().Add(aLongTime); ; time.Sleep(20 * time.Millisecond) {
		if err := s.launch(); err != nil {
			return err
		}
		if s.answers() {
			return nil
		}
		if time.Now().After(until) {
			log, _ := os.ReadFile(filepath.Join(s.dir, "log"))
			return fmt.Errorf("PostgreSQL does not start\n%s", log)
		}
	}
}

func (s *Server) launch() error {
	log, err := os.OpenFile(filepath.Join(s.dir, "log"), os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	cmd := exec.Command("/bin/sh", "-c", onLeash, "sh", filepath.Join(s.bin, "postgres"), "-D", s.data(), "-k", s.dir,
		"-c", "listen_addresses=", "-c", "fsync=on", "-c", "max_connections=200")
	cmd.Dir, cmd.SysProcAttr, cmd.Stdout, cmd.Stderr = s.dir, s.keep, log, log
	if s.leash, err = cmd.StdinPipe(); err != nil {
		return err
	}
	if err := cmd.Start(); err != nil {
		return err
	}
	s.ended = make(chan struct{})
	go func() {
		defer close(s.ended)
		_ = cmd.Wait() // it tells of the signal
		log.Close()
	}()
	return nil
}

// aLongTime is for a server that will never be ready, not for timing it.
const aLongTime = 60 * time.Second

// answers waits until the server answers, and tells whether it did before it
// ended.
func (s *Server) answers() bool {
	for {
		if c, err := pgx.Connect(context.Background(), s.URL("postgres")); err == nil {
			return c.Close(context.Background()) == nil
		}
		select {
		case <-s.ended:
			return false
		case <-time.After(10 * time.Millisecond):
		}
	}
}

// URL is the address of a database.
func (s *Server) URL(database string) string {
	return fmt.Sprintf("postgres://%s@/%s?host=%s", role, database, s.dir)
}

// Socket is the path of the socket that the server listens on.
func (s *Server) Socket() string { return filepath.Join(s.dir, ".s.PGSQL.5432") }

// Schema is the address of an empty schema, another at each call.
func (s *Server) Schema() string {
	return fmt.Sprintf("%s&search_path=registry_%d", s.URL("postgres"), s.names.Add(1))
}

// Exec runs SQL as the owner of everything.
func (s *Server) Exec(t testing.TB, sql string) {
	t.Helper()
	c, err := pgx.Connect(context.Background(), s.URL("postgres"))
	if err == nil {
		_, err = c.Exec(context.Background(), sql)
		err = errors.Join(err, c.Close(context.Background()))
	}
	if err != nil {
		t.Fatal(err)
	}
}

// Guard makes a user who needs a password.
func (s *Server) Guard(t testing.TB, name, password string) {
	t.Helper()
	file := filepath.Join(s.data(), "pg_hba.conf")
	rules, err := os.ReadFile(file)
	if err == nil {
		err = os.WriteFile(file, append([]byte("local all "+name+" scram-sha-256\n"), rules...), 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	s.Exec(t, fmt.Sprintf("CREATE ROLE %s SUPERUSER LOGIN PASSWORD '%s'; SELECT pg_reload_conf()", name, password))
}

// Crash stops the server at once, as an immediate shutdown does: nothing is
// written any more, and the next start has to recover.
func (s *Server) Crash(t testing.TB) { s.signal(t, syscall.SIGQUIT) }

// Kill kills the server's first process, without a chance to tell the others.
func (s *Server) Kill(t testing.TB) { s.signal(t, syscall.SIGKILL) }

func (s *Server) signal(t testing.TB, with syscall.Signal) {
	t.Helper()
	s.mu.Lock()
	defer s.mu.Unlock()
	pid, err := s.pid()
	if err == nil {
		err = syscall.Kill(pid, with)
	}
	if err != nil {
		t.Fatal(err)
	}
	<-s.ended
}

// Restart starts a server again that was stopped, and waits until it answers.
func (s *Server) Restart(t testing.TB) {
	t.Helper()
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.run(); err != nil {
		t.Fatal(err)
	}
}

func (s *Server) pid() (int, error) {
	body, err := os.ReadFile(filepath.Join(s.data(), "postmaster.pid"))
	if err != nil {
		return 0, err
	}
	first, _, _ := strings.Cut(string(body), "\n")
	return strconv.Atoi(first)
}

// remove stops the server and takes its folder away.
func (s *Server) remove() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.ended != nil {
		s.leash.Close()
		<-s.ended
	}
	os.RemoveAll(s.dir)
}
