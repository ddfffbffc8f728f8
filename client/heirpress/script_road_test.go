package main

import (
	"fmt"
	"net"
	"net/http"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
)

// router starts a routing service that answers every call with so many metres,
// or with nonsense, and sets $ROUTES to its URL: router METRES|nonsense.
func router(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: router METRES|nonsense")
	}
	body := fmt.Sprintf(`{"code":"Ok","routes":[{"distance":%s}]}`, args[0])
	if args[0] == "nonsense" {
		body = "<html>over quota</html>"
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	ts.Check(err)
	s := &http.Server{Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !strings.HasPrefix(r.URL.Path, "/route/v1/driving/-84.1") {
			w.WriteHeader(http.StatusNotFound)
			return
		}
		fmt.Fprint(w, body)
	})}
	go s.Serve(listener) //nolint:errcheck // ends with the script
	ts.Defer(func() { s.Close() })
	ts.Setenv("ROUTES", "http://"+listener.Addr().String()+"/route/v1/driving/{fromLng},{fromLat};{toLng},{toLat}?overview=false")
}
