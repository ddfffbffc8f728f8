package client

import (
	"net"
	"slices"
	"strings"

	"google.golang.org/grpc"
	_ "google.golang.org/grpc/health" // asks the servers how they do
	"google.golang.org/grpc/resolver"
	"google.golang.org/grpc/resolver/manual"
)

// addresses are those of the servers that are named, which share one registry:
// "a:7427,b:7427".
func addresses(servers string) ([]string, error) {
	var all []string
	for _, one := range strings.Split(servers, ",") {
		one = strings.TrimSpace(one)
		if host, port, err := net.SplitHostPort(one); err != nil || host == "" || port == "" {
			return nil, &AddressError{Address: servers}
		}
		if !slices.Contains(all, one) {
			all = append(all, one)
		}
	}
	return all, nil
}

// severalTarget is the target of a connection to several servers.
const severalTarget = "servers:///registry"

// toSeveral has calls go round, one after the other, to those that answer
// and say of themselves that they are ready; each is known by a certificate for
// its own name.
func toSeveral(all []string) []grpc.DialOption {
	r := manual.NewBuilderWithScheme("servers")
	var state resolver.State
	for _, one := range all {
		host, _, _ := net.SplitHostPort(one) // addresses has looked at it
		state.Endpoints = append(state.Endpoints, resolver.Endpoint{Addresses: []resolver.Address{{Addr: one, ServerName: host}}})
	}
	r.InitialState(state)
	return []grpc.DialOption{grpc.WithResolvers(r), grpc.WithDefaultServiceConfig(serviceConfig(true))}
}

// Servers is the name under which several servers are known, in whatever order
// they were given.
func Servers(servers string) string {
	all, err := addresses(servers)
	if err != nil {
		return servers
	}
	slices.Sort(all)
	return strings.Join(all, ",")
}
