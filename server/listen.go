package server

import (
	"net"
	"net/netip"
	"sync"
)

// mostConnections is how many connections one address may have open at once. This
// machine is not counted: what runs here may speak for many.
const mostConnections = 200

// A fewEach is a listener that holds no more than so many connections of one
// address: more are closed as they come, before anything is read from them.
type fewEach struct {
	net.Listener
	most   int
	counts func(netip.Addr) bool

	mu   sync.Mutex
	open map[netip.Prefix]int
}

func newFewEach(on net.Listener) *fewEach {
	return &fewEach{
		Listener: on, most: mostConnections, open: map[netip.Prefix]int{},
		counts: func(ip netip.Addr) bool { return !ip.IsLoopback() },
	}
}

// Accept is the next connection of an address that has not too many.
func (l *fewEach) Accept() (net.Conn, error) {
	for {
		conn, err := l.Listener.Accept()
		if err != nil {
			return nil, err
		}
		tcp, ok := conn.RemoteAddr().(*net.TCPAddr)
		if !ok || !l.counts(tcp.AddrPort().Addr().Unmap()) {
			return conn, nil
		}
		from := networkOf(tcp)
		if l.enter(from) {
			return &counted{Conn: conn, leave: func() { l.left(from) }}, nil
		}
		conn.Close() //nolint:errcheck // it is not wanted
	}
}

func (l *fewEach) enter(from netip.Prefix) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.open[from] >= l.most {
		return false
	}
	l.open[from]++
	return true
}

func (l *fewEach) left(from netip.Prefix) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.open[from]--; l.open[from] == 0 {
		delete(l.open, from)
	}
}

// counted is a connection that is counted until it is closed.
type counted struct {
	net.Conn
	once  sync.Once
	leave func()
}

// Close closes it, and counts it no more.
func (c *counted) Close() error {
	c.once.Do(c.leave)
	return c.Conn.Close()
}
