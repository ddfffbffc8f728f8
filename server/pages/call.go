package pages

import (
	"context"
	"net"
	"strings"
	"time"

	"google.golang.org/grpc/metadata"
)

// AddressKey is the metadata under which a call says from which IP address its page
// was asked for.
const AddressKey = "heirpress-page-address"

// callTime is how long the calls of one page may take.
const callTime = 8 * time.Second

// calling is the context of the calls of a visit: they are made as who has signed in,
// and counted for where they come from.
func (v *visit) calling() (context.Context, context.CancelFunc) {
	ctx := v.r.Context()
	if host, _, err := net.SplitHostPort(v.r.RemoteAddr); err == nil {
		address, _, _ := strings.Cut(host, "%") // without the zone of a link
		ctx = metadata.AppendToOutgoingContext(ctx, AddressKey, address)
	}
	if v.token != "" {
		ctx = metadata.AppendToOutgoingContext(ctx, "authorization", "Bearer "+v.token)
	}
	return context.WithTimeout(ctx, callTime)
}
