//go:build unix

package pgtest

import (
	"fmt"
	"io"
	"net"
	"sync"
	"testing"
)

// Proxy stands between a daemon and its server as the network does: when it is
// cut, nothing passes and nobody is told.
type Proxy struct {
	server   *Server
	listener net.Listener

	mu    sync.Mutex
	whole *sync.Cond
	cut   bool
	ended bool
	conns []net.Conn
}

// NewProxy makes a proxy to a server for one test.
func NewProxy(t testing.TB, s *Server) *Proxy {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	p := &Proxy{server: s, listener: l}
	p.whole = sync.NewCond(&p.mu)
	go p.accept()
	t.Cleanup(p.close)
	return p
}

// URL is the address of an empty schema through the proxy, as s.Schema gives one.
func (p *Proxy) URL(schema string) string {
	return fmt.Sprintf("postgres://%s@%s/postgres?sslmode=disable&search_path=%s", role, p.listener.Addr(), schema)
}

// Cut stops everything from passing. What was under way stays so.
func (p *Proxy) Cut() { p.set(true) }

// Mend lets all pass again, what was held back first.
func (p *Proxy) Mend() { p.set(false) }

func (p *Proxy) set(cut bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.cut = cut
	p.whole.Broadcast()
}

func (p *Proxy) accept() {
	for {
		from, err := p.listener.Accept()
		if err != nil {
			return
		}
		go p.join(from)
	}
}

func (p *Proxy) join(from net.Conn) {
	defer from.Close()
	if !p.pass() {
		return
	}
	to, err := net.Dial("unix", p.server.Socket())
	if err != nil {
		return
	}
	defer to.Close()
	p.mu.Lock()
	p.conns = append(p.conns, from, to)
	p.mu.Unlock()
	var both sync.WaitGroup
	both.Go(func() { p.copy(to, from) })
	both.Go(func() { p.copy(from, to) })
	both.Wait()
}

func (p *Proxy) copy(to, from net.Conn) {
	// When one side is gone, the other is told, but not through a cut.
	defer func() {
		p.pass()
		to.Close()
	}()
	for buffer := make([]byte, 32<<10); ; {
		n, err := from.Read(buffer)
		if !p.pass() {
			return
		}
		if _, bad := to.Write(buffer[:n]); err != nil || bad != nil {
			return
		}
	}
}

// pass waits until there is no cut; it returns false when all is over.
func (p *Proxy) pass() bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	for p.cut && !p.ended {
		p.whole.Wait()
	}
	return !p.ended
}

func (p *Proxy) close() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.ended = true
	p.whole.Broadcast()
	for _, c := range append([]io.Closer{p.listener}, closers(p.conns)...) {
		c.Close()
	}
}

func closers(conns []net.Conn) (all []io.Closer) {
	for _, c := range conns {
		all = append(all, c)
	}
	return all
}
