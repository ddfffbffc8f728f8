package pages

import (
	"log/slog"
	"net/http"
	"net/url"
	"time"

	"google.golang.org/grpc"

	pb "heirpress/proto/heirpress/v1"
)

// Config says what pages are made of.
type Config struct {
	// Conn leads to the registry. Calls over it say from which address a page was
	// asked for under AddressKey, and the server at its end must know what to do
	// with that.
	Conn grpc.ClientConnInterface
	// Accounts tells that the registry tells callers apart: people then sign in.
	// Without accounts the pages answer only to this machine's own names, since
	// everybody whom they answer has everything.
	Accounts bool
	// TLS tells that the pages are served over TLS.
	TLS bool
	// PublicURL is the address under which the pages are reached from outside, as
	// "https://example.org". Empty: whatever address was asked for.
	PublicURL string
	// Key is what sessions are sealed with, 32 bytes that daemons of one registry
	// share.
	Key []byte
	// Log takes what an operator should know. Nil: nothing is logged.
	Log *slog.Logger
	// Clock tells the day. Nil: the wall clock.
	Clock func() time.Time
}

// site is the pages.
type site struct {
	Config
	public     *url.URL // nil if it is not known
	seal       sealer
	shops      pb.ShopServiceClient
	lots       pb.LotServiceClient
	search     pb.SearchServiceClient
	wants      pb.WantServiceClient
	alerts     pb.AlertServiceClient
	accounts   pb.AccountServiceClient
	interest   pb.InterestServiceClient
	deliveries pb.DeliveryServiceClient
}

// longestForm is how many bytes of a form are read.
const longestForm = 64 << 10

// New returns the pages.
func New(c Config) (http.Handler, error) {
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	if c.Clock == nil {
		c.Clock = time.Now
	}
	s := &site{
		Config: c,
		shops:  pb.NewShopServiceClient(c.Conn), lots: pb.NewLotServiceClient(c.Conn), search: pb.NewSearchServiceClient(c.Conn),
		wants: pb.NewWantServiceClient(c.Conn), alerts: pb.NewAlertServiceClient(c.Conn), accounts: pb.NewAccountServiceClient(c.Conn),
		interest: pb.NewInterestServiceClient(c.Conn), deliveries: pb.NewDeliveryServiceClient(c.Conn),
	}
	var err error
	if c.PublicURL != "" {
		if s.public, err = url.Parse(c.PublicURL); err != nil {
			return nil, err
		}
	}
	if s.seal, err = newSealer(c.Key); err != nil {
		return nil, err
	}
	return s.guard(http.MaxBytesHandler(s.mux(), longestForm)), nil
}

func (s *site) mux() *http.ServeMux {
	m := http.NewServeMux()
	m.HandleFunc("GET "+stylePath, serveStyle)
	for pattern, page := range map[string]func(*visit) error{
		"GET /{$}":                     s.front,
		"GET /find":                    s.find,
		"GET /shops":                   s.shopList,
		"GET /shops/{shop}":            s.shop,
		"GET /shops/{shop}/catalogue":  s.catalogue,
		"GET /shops/{shop}/lots/{lot}": s.lot,
		"GET /shops/{shop}/lots/{lot}/moving-brief": s.movingBrief,
		"GET /map":                     s.mapOf,
		"GET /map.svg":                 s.mapPicture,
		"GET /sign-in":                 s.signIn,
		"POST /sign-in":                s.signedIn,
		"GET /join":                    s.join,
		"POST /join":                   s.joined,
		"POST /sign-out":               s.signOut,
		"GET /wants":                   s.wanted,
		"GET /wants/new":               s.wantForm,
		"POST /wants":                  s.lodge,
		"POST /wants/{list}/drop":      s.drop,
		"GET /wants/{list}/e-mail":     s.delivery,
		"POST /wants/{list}/e-mail":    s.deliver,
		"GET /alerts":                  s.alertList,
		"POST /alerts/{alert}/read":    s.acknowledge,
		"GET /keep":                    s.keeping,
		"POST /notices/{notice}/read":  s.noticeRead,
		"GET /keep/{shop}":             s.keepShop,
		"GET /keep/{shop}/lots/{lot}":  s.keepLot,
		"POST /keep/{shop}/lots/{lot}": s.move,
		"GET /feed.atom":               s.feed,
		"/":                            s.nothing,
	} {
		m.HandleFunc(pattern, s.serve(page))
	}
	return m
}

// visit is a page that somebody asks for.
type visit struct {
	w http.ResponseWriter
	r *http.Request
	// token is the one that they signed in with; empty if they have not.
	token string
}

// serve makes a page of a function, and of its error one that says what went wrong.
func (s *site) serve(page func(*visit) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		v := &visit{w: w, r: r, token: s.tokenOf(r)}
		if err := page(v); err != nil {
			s.fail(v, err)
		}
	}
}
