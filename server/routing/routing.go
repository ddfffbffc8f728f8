package routing

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/hashicorp/golang-lru/v2/expirable"

	"heirpress/search/place"
)

// Patience is how long an answer may take.
const Patience = 2 * time.Second

const (
	remembered   = 50_000 // answers
	rememberFor  = 24 * time.Hour
	mostAtOnce   = 8
	largestReply = 1 << 20 // bytes
)

// Service is a routing service. It may be used by many at once.
type Service struct {
	template string
	client   *http.Client
	// known is the metres of ways lately asked for.
	known *expirable.LRU[pair, float64]
	// calls has room for those under way.
	calls chan struct{}
	rest  rest
}

// pair is two points, the lesser first.
type pair struct{ a, b place.Point }

func pairOf(a, b place.Point) pair {
	if b.Lat < a.Lat || b.Lat == a.Lat && b.Lng < a.Lng {
		a, b = b, a
	}
	return pair{a, b}
}

// braces are what a template has to have.
var braces = []string{"{fromLat}", "{fromLng}", "{toLat}", "{toLng}"}

// New is the service that a template names. The error says what the template
// lacks.
func New(template string) (*Service, error) {
	for _, b := range braces {
		if !strings.Contains(template, b) {
			return nil, fmt.Errorf("the routing URL has no %s: write it as https://routes.example.org/route/v1/driving/{fromLng},{fromLat};{toLng},{toLat}", b)
		}
	}
	u, err := url.Parse(fill(template, pair{}))
	if err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
		return nil, errors.New("the routing URL is none: it begins with https:// or http://, and has a host")
	}
	return &Service{
		template: template,
		client:   &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }},
		known:    expirable.NewLRU[pair, float64](remembered, nil, rememberFor),
		calls:    make(chan struct{}, mostAtOnce),
	}, nil
}

func fill(template string, p pair) string {
	degrees := func(d float64) string { return strconv.FormatFloat(d, 'f', 5, 64) }
	return strings.NewReplacer(
		braces[0], degrees(p.a.Lat), braces[1], degrees(p.a.Lng), braces[2], degrees(p.b.Lat), braces[3], degrees(p.b.Lng),
	).Replace(template)
}

// ErrResting says that the service has failed of late and is not asked.
var ErrResting = errors.New("routing: the service has failed of late, and is let be for a while")

// Km is the way by road between two towns in kilometres. Whatever the error, an
// estimate will do instead; the service's own words are not in it.
func (s *Service) Km(ctx context.Context, a, b place.Point) (float64, error) {
	p := pairOf(a, b)
	if metres, ok := s.known.Get(p); ok {
		return metres / 1000, nil
	}
	if !s.rest.may(time.Now()) {
		return 0, ErrResting
	}
	metres, err := s.ask(ctx, p)
	if ctx.Err() == nil { // A caller who leaves is no failure of the service.
		s.rest.note(err, time.Now())
	}
	if err != nil {
		return 0, err
	}
	s.known.Add(p, metres)
	return metres / 1000, nil
}

// ask asks the service, when there is room for one more call.
func (s *Service) ask(ctx context.Context, p pair) (float64, error) {
	inTime, cancel := context.WithTimeout(ctx, Patience)
	defer cancel()
	select {
	case s.calls <- struct{}{}:
		defer func() { <-s.calls }()
	case <-inTime.Done():
		return 0, fmt.Errorf("routing: no call was free: %w", inTime.Err())
	}
	request, err := http.NewRequestWithContext(inTime, http.MethodGet, fill(s.template, p), nil)
	if err != nil {
		return 0, errors.New("routing: the URL cannot be asked")
	}
	request.Header.Set("Accept", "application/json")
	response, err := s.client.Do(request)
	if err != nil {
		return 0, scrub(err)
	}
	defer response.Body.Close()
	if response.StatusCode != http.StatusOK {
		return 0, fmt.Errorf("routing: the service answers %d", response.StatusCode)
	}
	return read(response.Body, place.GreatCircleKm(p.a, p.b))
}

// scrub takes the URL out of an error: it may hold a key.
func scrub(err error) error {
	if wrapped := new(url.Error); errors.As(err, &wrapped) {
		err = wrapped.Err
	}
	return fmt.Errorf("routing: %w", err)
}

// reply is what is read of an answer.
type reply struct {
	Code   string `json:"code"`
	Routes []struct {
		Distance *float64 `json:"distance"`
	} `json:"routes"`
}

// read reads the metres of an answer, and refuses those that cannot be.
func read(body io.Reader, straightKm float64) (float64, error) {
	var r reply
	if err := json.NewDecoder(io.LimitReader(body, largestReply)).Decode(&r); err != nil {
		return 0, errors.New("routing: the answer is not the JSON that is read")
	}
	switch {
	case r.Code != "" && !strings.EqualFold(r.Code, "ok"):
		return 0, errNoRoute
	case len(r.Routes) == 0 || r.Routes[0].Distance == nil:
		return 0, errNoRoute
	}
	metres := *r.Routes[0].Distance
	if !plausible(metres/1000, straightKm) {
		return 0, fmt.Errorf("routing: the answer of %.0f km for %.0f km in a straight line cannot be", metres/1000, straightKm)
	}
	return metres, nil
}

// errNoRoute is an answer, and not a failure of the service.
var errNoRoute = errors.New("routing: the service finds no route")

// plausible tells whether a way by road may be so long. A service sets out from
// the road nearest to a point, which may be some way off: it gets a kilometre.
func plausible(km, straight float64) bool {
	const most, more = 20, 100 // times, and kilometres
	return km >= 0.98*straight-1 && km <= most*straight+more && !math.IsNaN(km)
}
