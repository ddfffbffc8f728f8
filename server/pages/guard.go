package pages

import (
	"net"
	"net/http"
	"net/netip"
	"strings"
)

// policy lets a page have its own style and pictures, and nothing else.
const policy = "default-src 'none'; style-src 'self'; img-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"

// guard puts around every answer what keeps a browser from doing with it what it is
// not for, and refuses what another site's page has sent.
func (s *site) guard(next http.Handler) http.Handler {
	protected := http.NewCrossOriginProtection()
	protected.SetDenyHandler(s.serve(func(v *visit) error { return errElsewhere }))
	next = protected.Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.secure(w.Header())
		if !s.Accounts && !isThisMachine(r.Host) {
			s.fail(&visit{w: w, r: r}, errNotHere)
			return
		}
		next.ServeHTTP(w, r)
	})
}

func (s *site) secure(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=(), payment=(), usb=()")
	h.Set("Cache-Control", "private, no-cache")
	if s.isSecure() {
		h.Set("Strict-Transport-Security", "max-age=31536000")
	}
}

// isThisMachine tells whether a request was meant for this machine by one of its own
// names. Another name that leads here was given to it by somebody else, whose page
// would read along.
func isThisMachine(host string) bool {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	if strings.EqualFold(host, "localhost") {
		return true
	}
	ip, err := netip.ParseAddr(strings.Trim(host, "[]"))
	return err == nil && ip.IsLoopback()
}
