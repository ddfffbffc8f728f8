package server

import (
	"errors"
	"io"
	"net"
	"net/netip"
	"testing"
	"time"
)

// An address has so many connections at once, and as many again when they are closed.
func TestAnAddressHasOnlySoManyConnections(t *testing.T) {
	on, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	l := newFewEach(on)
	l.most, l.counts = 3, func(netip.Addr) bool { return true }
	accepted := make(chan net.Conn, 10)
	go func() {
		for {
			conn, err := l.Accept()
			if err != nil {
				close(accepted)
				return
			}
			accepted <- conn
		}
	}()
	dial := func() net.Conn {
		conn, err := net.Dial("tcp", on.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { conn.Close() })
		return conn
	}
	for range 2 { // the second time, when the first are closed
		var held []net.Conn
		for range l.most {
			dial()
			held = append(held, <-accepted)
		}
		over := dial()
		if err := over.SetReadDeadline(time.Now().Add(20 * time.Second)); err != nil {
			t.Fatal(err)
		}
		if _, err := over.Read(make([]byte, 1)); !errors.Is(err, io.EOF) {
			var timeout net.Error
			if errors.As(err, &timeout) && timeout.Timeout() {
				t.Fatal("one too many is held")
			}
		}
		for _, conn := range held {
			conn.Close()
			conn.Close() // counts once
		}
	}
	if len(l.open) != 0 {
		t.Errorf("still counted: %v", l.open)
	}
	if newFewEach(on).counts(netip.MustParseAddr("127.0.0.1")) || !newFewEach(on).counts(netip.MustParseAddr("192.0.2.1")) {
		t.Error("which addresses are counted")
	}
	on.Close()
	if _, open := <-accepted; open {
		t.Error("a connection too many was accepted")
	}
}

// A household is one address, of whichever family.
func TestAddresses(t *testing.T) {
	for text, want := range map[string]string{
		"192.0.2.7:1": "192.0.2.7/32", "[::ffff:192.0.2.7]:1": "192.0.2.7/32",
		"[2001:db8:1:2:3:4:5:6]:1": "2001:db8:1:2::/64", "[::1]:1": "::/64",
	} {
		if got := networkOf(net.TCPAddrFromAddrPort(netip.MustParseAddrPort(text))); got.String() != want {
			t.Errorf("%s is of %v, want %s", text, got, want)
		}
	}
}

// What was limited and is full again is forgotten, and what is not is kept.
func TestFullBucketsAreForgotten(t *testing.T) {
	b := newBucketful[string](1, 5)
	start := time.Now()
	b.of("emptied", start).AllowN(start, 5)
	b.of("full", start)
	soon := start.Add(2 * time.Second)
	b.swept = soon.Add(-2 * sweepAfter)
	b.of("another", soon)
	if len(b.buckets) != 2 || b.buckets["full"] != nil || b.buckets["emptied"] == nil {
		t.Errorf("kept %v", b.buckets)
	}
	if after := wait(b.of("emptied", soon), 5, soon); after < 2*time.Second || after > 3*time.Second+time.Millisecond {
		t.Errorf("it is to wait %v for what takes 3 s", after)
	}
	later := start.Add(time.Hour)
	b.of("another", later)
	if len(b.buckets) != 1 {
		t.Errorf("after an hour: %v", b.buckets)
	}
}
