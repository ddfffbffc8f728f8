//go:build unix

package doctor_test

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/ncruces/go-sqlite3"

	"heirpress/server"
	"heirpress/server/doctor"
	"heirpress/server/store"
	"heirpress/server/store/postgres/pgtest"
)

func TestMain(m *testing.M) { pgtest.Main(m) }

// folder is the data folder of a registry that was served, with 20 lots' worth of
// changes in its store.
func folder(t *testing.T, address string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "data")
	r, err := server.Open(t.Context(), server.Config{Dir: dir, Store: address})
	if err != nil {
		t.Fatal(err)
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	s, err := server.OpenStore(t.Context(), dir, address)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for n := range 20 {
		err := s.Write(t.Context(), func(tx store.Tx) error {
			r := store.Record{Name: fmt.Sprint("other/", n), Collection: "other", Body: []byte{byte(n)}}
			if _, err := tx.Create(t.Context(), r); err != nil || n%3 > 0 {
				return err
			}
			_, err := tx.Delete(t.Context(), r.Name)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// findings are what the doctor says, a line each.
func findings(t *testing.T, c doctor.Config) (worst doctor.Verdict, text string) {
	t.Helper()
	var all strings.Builder
	worst = doctor.Examine(t.Context(), c, func(f doctor.Finding) {
		if f.About == "disk" { // this machine's
			return
		}
		fmt.Fprintf(&all, "%s %s: %s\n", f.Verdict, f.About, f.Says)
	})
	return worst, all.String()
}

func has(t *testing.T, text, want string) {
	t.Helper()
	if !strings.Contains(text, want) {
		t.Errorf("the doctor does not say %q but\n%s", want, text)
	}
}

// TestHealthy: with a healthy registry, on either engine, all is fine, whether it
// is served or not, and looking changes nothing.
func TestHealthy(t *testing.T) {
	for _, address := range []string{"", pgtest.Shared(t).Schema()} {
		dir := folder(t, address)
		c := doctor.Config{Dir: dir, Store: address}
		for range 2 {
			worst, text := findings(t, c)
			if worst != doctor.Fine {
				t.Errorf("got\n%s", text)
			}
			has(t, text, "fine store: 28 changes, 14 records, and they agree\n")
			has(t, text, "fine clock: it is ")
			has(t, text, "heirpressd does the rest when it starts\n")
			has(t, text, "fine matcher: it is 0 changes behind\n")
			has(t, text, "fine deliveries: 0 alerts wait to be packed, 0 dispatches to be sent\n")
			has(t, text, "is private\n")
		}
		r, err := server.Open(t.Context(), server.Config{Dir: dir, Store: address})
		if err != nil {
			t.Fatal(err)
		}
		_, text := findings(t, c)
		has(t, text, "fine index: a heirpressd is running on it")
		if err := r.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// TestDamagedStore: damage of every kind that a file can have is found.
func TestDamagedStore(t *testing.T) {
	for _, c := range []struct{ name, sql, says string }{
		{"a body", `UPDATE record SET body = x'ff' WHERE name = 'other/4'`, "other/4 is not as its journal tells: restore a backup"},
		{"a body in the journal", `UPDATE journal SET body = x'ff' WHERE name = 'other/4'`, "other/4 is not as its journal tells"},
		{"a record lost", `DELETE FROM record WHERE name = 'other/4'`, "of other there are 12, and the journal tells of 13: restore a backup"},
		{"a change lost", `DELETE FROM journal WHERE change = 9`, "the journal has no change 9: restore a backup"},
		{"the time", `UPDATE journal SET time = time - 3600000000 WHERE change = 9`, "before the one that it follows"},
		{"an index", `PRAGMA writable_schema = ON; UPDATE sqlite_schema SET sql = 'CREATE INDEX record_by_parent ON record (parent, collection)' WHERE name = 'record_by_parent'`, "it is damaged"},
		{"a clock ahead", `UPDATE journal SET time = time + 7200000000 WHERE change = (SELECT max(change) FROM journal)`, "WRONG clock: the last change says"},
	} {
		dir := folder(t, "")
		spoil(t, server.File(dir), c.sql)
		worst, text := findings(t, doctor.Config{Dir: dir})
		if worst != doctor.Wrong || !strings.Contains(text, c.says) {
			t.Errorf("%s: it says\n%s", c.name, text)
		}
	}
}

func spoil(t *testing.T, path, sql string) {
	t.Helper()
	db, err := sqlite3.Open("file:" + path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := db.Exec(sql); err != nil {
		t.Fatal(err)
	}
}

func TestFolder(t *testing.T) {
	_, text := findings(t, doctor.Config{Dir: filepath.Join(t.TempDir(), "none")})
	has(t, text, "look data folder: ")
	has(t, text, "WRONG store: there is no registry at ")
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, []byte("not a registry"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, text = findings(t, doctor.Config{Dir: file})
	has(t, text, "is no folder\n")
	dir := folder(t, "")
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	worst, text := findings(t, doctor.Config{Dir: dir})
	if has(t, text, "chmod 700"); worst != doctor.Watch {
		t.Errorf("the worst is %v", worst)
	}
	if err := os.WriteFile(server.File(dir), []byte("not a registry, but something else"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, text = findings(t, doctor.Config{Dir: dir})
	has(t, text, "WRONG store: ")
}

// TestIndex: an index that is lost, damaged, or of a later day is told of, and is
// left as it is.
func TestIndex(t *testing.T) {
	dir := folder(t, "")
	index := filepath.Join(dir, "index")
	for _, path := range files(t, index, "root.bolt") {
		if err := os.Truncate(path, 1000); err != nil {
			t.Fatal(err)
		}
	}
	before := files(t, index, "*")
	worst, text := findings(t, doctor.Config{Dir: dir})
	if has(t, text, "look index: it is damaged"); worst != doctor.Watch {
		t.Errorf("the worst is %v", worst)
	}
	if after := files(t, index, "*"); fmt.Sprint(before) != fmt.Sprint(after) {
		t.Errorf("the index was %v, and now is %v", before, after)
	}
	if err := os.RemoveAll(index); err != nil {
		t.Fatal(err)
	}
	_, text = findings(t, doctor.Config{Dir: dir})
	has(t, text, "look index: there is none yet")
}

// files are those under a folder with a name.
func files(t *testing.T, dir, pattern string) (all []string) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, entry os.DirEntry, err error) error {
		if ok, _ := filepath.Match(pattern, filepath.Base(path)); ok && err == nil && !entry.IsDir() {
			all = append(all, path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func TestCertificate(t *testing.T) {
	dir, certs := folder(t, ""), t.TempDir()
	now := time.Now()
	cert, key := certificate(t, certs, now.Add(-time.Hour), now.Add(90*24*time.Hour))
	c := doctor.Config{Dir: dir, CertFile: cert, KeyFile: key}
	for _, at := range []struct {
		later time.Duration
		worst doctor.Verdict
		says  string
	}{
		{0, doctor.Fine, "fine TLS: the certificate is good until "},
		{75 * 24 * time.Hour, doctor.Watch, "look TLS: the certificate expires on "},
		{91 * 24 * time.Hour, doctor.Wrong, "WRONG TLS: the certificate has expired on "},
		{-2 * time.Hour, doctor.Wrong, "WRONG TLS: the certificate is good only from "},
	} {
		c.Now = func() time.Time { return now.Add(at.later) }
		worst, text := findings(t, c)
		if has(t, text, at.says); worst != at.worst {
			t.Errorf("after %v the worst is %v", at.later, worst)
		}
	}
	c.KeyFile = cert
	_, text := findings(t, c)
	has(t, text, "WRONG TLS: the certificate cannot be used: ")
}

// certificate makes one that is its own authority.
func certificate(t *testing.T, dir string, from, until time.Time) (cert, key string) {
	t.Helper()
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	self := &x509.Certificate{SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "a registry under test"},
		NotBefore: from, NotAfter: until, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}}
	body, errA := x509.CreateCertificate(rand.Reader, self, self, private.Public(), private)
	secret, errB := x509.MarshalPKCS8PrivateKey(private)
	if errA != nil || errB != nil {
		t.Fatal(errA, errB)
	}
	write := func(name, kind string, body []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, pem.EncodeToMemory(&pem.Block{Type: kind, Bytes: body}), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	return write("cert.pem", "CERTIFICATE", body), write("key.pem", "PRIVATE KEY", secret)
}
