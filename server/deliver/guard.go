package deliver

import (
	"errors"
	"fmt"
	"net/netip"
	"syscall"
)

// errPrivate says that a webhook's name stands for an address that is nobody's
// business out there.
var errPrivate = errors.New("its name stands for a private address, and this registry does not send there")

// reserved are the addresses that are not another machine on the internet, from
// the IANA registries of special-purpose IPv4 and IPv6 addresses; beside those
// that net/netip knows itself. The metadata services of hosters are among the
// link-local and the unique local ones.
var reserved = func() (all []netip.Prefix) {
	for _, text := range []string{
		"0.0.0.0/8",       // this network
		"100.64.0.0/10",   // shared by a carrier's customers
		"192.0.0.0/24",    // protocol assignments
		"192.0.2.0/24",    // documentation
		"192.88.99.0/24",  // relays from IPv6, given up
		"198.18.0.0/15",   // benchmarking
		"198.51.100.0/24", // documentation
		"203.0.113.0/24",  // documentation
		"240.0.0.0/4",     // reserved, and broadcast
		"::/96",           // IPv4-compatible, given up
		"64:ff9b::/96",    // IPv4 behind a translator
		"64:ff9b:1::/48",  // the same, within a network
		"100::/64",        // discarded
		"2001::/23",       // protocol assignments, with Teredo
		"2001:db8::/32",   // documentation
		"2002::/16",       // IPv4 in 6to4
		"3fff::/20",       // documentation
		"5f00::/16",       // segment routing
		"fec0::/10",       // site-local, given up
	} {
		all = append(all, netip.MustParsePrefix(text))
	}
	return all
}()

// isPublic tells whether an address may be a stranger's machine. An IPv4 address
// within an IPv6 one is judged as what it is.
func isPublic(ip netip.Addr) bool {
	ip = ip.Unmap().WithZone("")
	if !ip.IsValid() || !ip.IsGlobalUnicast() || ip.IsPrivate() {
		return false
	}
	for _, r := range reserved {
		if r.Contains(ip) {
			return false
		}
	}
	return true
}

// onlyTo is a net.Dialer's Control that lets only addresses be called that may
// be: it sees the address that is really called, after the name was resolved, so
// that a name that stands for one address when it is looked at and another when
// it is called gains nothing.
func onlyTo(may func(netip.Addr) bool) func(_, address string, _ syscall.RawConn) error {
	return func(_, address string, _ syscall.RawConn) error {
		at, err := netip.ParseAddrPort(address)
		if err != nil {
			return fmt.Errorf("the address called cannot be read: %w", err)
		}
		if !may(at.Addr()) {
			return errPrivate
		}
		return nil
	}
}
