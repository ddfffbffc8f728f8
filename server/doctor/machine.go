package doctor

import (
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"
)

func mustBeThere(path string) error {
	_, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("there is no registry at %s: name its folder with --data, or its database with --store", path)
	}
	return err
}

// folder looks whether the data folder can be used, and by others.
func (e *examination) folder() {
	info, err := os.Stat(e.Dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		e.watch("data folder", "%s is not there yet; heirpressd makes it", e.Dir)
		return
	case err != nil:
		e.wrong("data folder", "%v", err)
		return
	case !info.IsDir():
		e.wrong("data folder", "%s is no folder", e.Dir)
		return
	}
	probe, err := os.CreateTemp(e.Dir, ".doctor-")
	if err != nil {
		e.wrong("data folder", "nothing can be written to %s: %v", e.Dir, err)
		return
	}
	probe.Close()
	os.Remove(probe.Name())
	if mode := info.Mode().Perm(); mode&0o077 != 0 {
		e.watch("data folder", "others on this machine can look into %s (mode %o): chmod 700", e.Dir, mode)
		return
	}
	e.fine("data folder", "%s can be written to, and is private", e.Dir)
}

// Room on the disk, in bytes.
const (
	leastRoom = 100 << 20
	goodRoom  = 1 << 30
)

// disk looks at the room where the data folder is.
func (e *examination) disk() {
	free, err := room(e.Dir)
	switch {
	case errors.Is(err, errors.ErrUnsupported), errors.Is(err, fs.ErrNotExist):
	case err != nil:
		e.wrong("disk", "how much room there is cannot be told: %v", err)
	case free < leastRoom:
		e.wrong("disk", "%s are left: make room, or writes will soon be refused", bytesText(free))
	case free < goodRoom:
		e.watch("disk", "%s are left", bytesText(free))
	default:
		e.fine("disk", "%s are left", bytesText(free))
	}
}

func bytesText(n uint64) string {
	if n < 10<<30 {
		return fmt.Sprintf("%d MB", n>>20)
	}
	return fmt.Sprintf("%d GB", n>>30)
}

// soonExpired is when an operator should see to a new certificate.
const soonExpired = 21 * 24 * time.Hour

// certificate looks whether TLS has what it needs, and for how long.
func (e *examination) certificate() {
	if e.CertFile == "" && e.KeyFile == "" {
		return
	}
	pair, err := tls.LoadX509KeyPair(e.CertFile, e.KeyFile)
	if err != nil {
		e.wrong("TLS", "the certificate cannot be used: %v", err)
		return
	}
	leaf, err := x509.ParseCertificate(pair.Certificate[0])
	if err != nil {
		e.wrong("TLS", "the certificate cannot be read: %v", err)
		return
	}
	now, last := e.Now(), leaf.NotAfter.Format(time.DateOnly)
	switch {
	case now.Before(leaf.NotBefore):
		e.wrong("TLS", "the certificate is good only from %s on: is the clock right?", leaf.NotBefore.Format(time.DateOnly))
	case now.After(leaf.NotAfter):
		e.wrong("TLS", "the certificate has expired on %s: nobody can connect; put a new one in its place and restart heirpressd", last)
	case leaf.NotAfter.Sub(now) < soonExpired:
		e.watch("TLS", "the certificate expires on %s, in %d days", last, int(leaf.NotAfter.Sub(now).Hours()/24))
	default:
		e.fine("TLS", "the certificate is good until %s", last)
	}
}
