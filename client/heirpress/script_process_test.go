package main

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"math/big"
	"net"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"syscall"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

// running is the key of what a script has started.
type running struct{}

type process struct {
	cmd   *exec.Cmd
	ended chan error
}

func started(ts *testscript.TestScript) map[string]*process {
	return ts.Value(running{}).(map[string]*process)
}

func start(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: start NAME PROGRAM ARG…")
	}
	inBackground(ts, args[0], args[1:], func(*exec.Cmd) {})
}

// inBackground starts a program, after ready has seen to it.
func inBackground(ts *testscript.TestScript, name string, args []string, ready func(*exec.Cmd)) {
	program, err := exec.LookPath(args[0])
	ts.Check(err)
	out, err := os.Create(ts.MkAbs(name + ".out"))
	ts.Check(err)
	notes, err := os.Create(ts.MkAbs(name + ".err"))
	ts.Check(err)
	cmd := exec.Command(program, args[1:]...)
	ready(cmd)
	cmd.Dir, cmd.Stdout, cmd.Stderr = ts.MkAbs("."), out, notes
	for _, key := range []string{"HOME", "HEIRPRESS_DATA", "GORACE"} {
		cmd.Env = append(cmd.Env, key+"="+ts.Getenv(key))
	}
	ts.Check(cmd.Start())
	p := &process{cmd: cmd, ended: make(chan error, 1)}
	go func() {
		p.ended <- cmd.Wait()
		out.Close()
		notes.Close()
	}()
	started(ts)[name] = p
	ts.Defer(func() { cmd.Process.Kill() })
}

// aLongTime is for something that has long gone wrong, not for timing it.
const aLongTime = 60 * time.Second

func until(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: until FILE PATTERN")
	}
	pattern, err := regexp.Compile("(?m)" + args[1])
	ts.Check(err)
	for deadline := time.Now().Add(aLongTime); time.Now().Before(deadline); time.Sleep(5 * time.Millisecond) {
		if body, err := os.ReadFile(ts.MkAbs(args[0])); err == nil && pattern.Match(body) {
			return
		}
	}
	ts.Fatalf("%s never had %s; it is\n%s", args[0], args[1], ts.ReadFile(args[0]))
}

var signals = map[string]syscall.Signal{"TERM": syscall.SIGTERM, "INT": syscall.SIGINT, "KILL": syscall.SIGKILL}

func end(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: end NAME SIGNAL STATUS")
	}
	want, err := strconv.Atoi(args[2])
	ts.Check(err)
	p := started(ts)[args[0]]
	ts.Check(p.cmd.Process.Signal(signals[args[1]]))
	select {
	case err := <-p.ended:
		if got := statusOf(err); got != want {
			ts.Fatalf("%s ended with status %d, want %d; it said\n%s", args[0], got, want, ts.ReadFile(args[0]+".err"))
		}
	case <-time.After(aLongTime):
		ts.Fatalf("%s does not end", args[0])
	}
}

var listening = regexp.MustCompile(`listening on (\S+)\n`)

func daemon(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 1 {
		ts.Fatalf("usage: daemon NAME ARG…")
	}
	name := args[0]
	start(ts, false, append([]string{name, "heirpressd", "--listen", "127.0.0.1:0", "--data", ts.MkAbs(name)}, args[1:]...))
	until(ts, false, []string{name + ".out", listening.String()})
	ts.Setenv("SERVER", listening.FindStringSubmatch(ts.ReadFile(name + ".out"))[1])
}

// capture puts what the group of a pattern matches in a file into the environment.
func capture(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: capture NAME FILE PATTERN")
	}
	m := regexp.MustCompile("(?m)" + args[2]).FindStringSubmatch(ts.ReadFile(args[1]))
	if len(m) != 2 {
		ts.Fatalf("%s does not have %s", args[1], args[2])
	}
	ts.Setenv(args[0], m[1])
}

// certificate makes a certificate for this machine that is its own authority.
func certificate(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) > 0 {
		ts.Fatalf("usage: certificate")
	}
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	ts.Check(err)
	self := &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "a registry under test"},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true,
	}
	cert, err := x509.CreateCertificate(rand.Reader, self, self, key.Public(), key)
	ts.Check(err)
	private, err := x509.MarshalPKCS8PrivateKey(key)
	ts.Check(err)
	writePEM(ts, "cert.pem", "CERTIFICATE", cert)
	writePEM(ts, "key.pem", "PRIVATE KEY", private)
}

func mode(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: mode FILE OCTAL")
	}
	about, err := os.Stat(ts.MkAbs(args[0]))
	ts.Check(err)
	if got := strconv.FormatUint(uint64(about.Mode().Perm()), 8); got != args[1] {
		ts.Fatalf("the mode of %s is %s, want %s", args[0], got, args[1])
	}
}

func writePEM(ts *testscript.TestScript, file, kind string, body []byte) {
	var out bytes.Buffer
	ts.Check(pem.Encode(&out, &pem.Block{Type: kind, Bytes: body}))
	ts.Check(os.WriteFile(ts.MkAbs(file), out.Bytes(), 0o600))
}
