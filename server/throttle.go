package server

import (
	"net/netip"
	"sync"
	"time"

	"golang.org/x/time/rate"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/types/known/durationpb"
)

// A bucketful holds a bucket for each of those that are limited. What is full again
// is forgotten, so that it holds no more than there were lately.
type bucketful[K comparable] struct {
	each  rate.Limit // a second
	burst int

	mu      sync.Mutex
	buckets map[K]*rate.Limiter
	swept   time.Time
}

// sweepAfter is how often buckets are looked through for full ones.
const sweepAfter = time.Minute

func newBucketful[K comparable](each rate.Limit, burst int) *bucketful[K] {
	return &bucketful[K]{each: each, burst: burst, buckets: map[K]*rate.Limiter{}}
}

// of is the bucket of one, at a time.
func (b *bucketful[K]) of(key K, at time.Time) *rate.Limiter {
	b.mu.Lock()
	defer b.mu.Unlock()
	if at.Sub(b.swept) > sweepAfter {
		b.sweep(at)
	}
	one := b.buckets[key]
	if one == nil {
		one = rate.NewLimiter(b.each, b.burst)
		b.buckets[key] = one
	}
	return one
}

func (b *bucketful[K]) sweep(at time.Time) {
	b.swept = at
	for key, one := range b.buckets {
		if one.TokensAt(at) >= float64(b.burst) {
			delete(b.buckets, key)
		}
	}
}

// wait is how long until a bucket has n in it; 0 if it has.
func wait(one *rate.Limiter, n float64, at time.Time) time.Duration {
	lacking := n - one.TokensAt(at)
	if lacking <= 0 {
		return 0
	}
	return time.Duration(lacking / float64(one.Limit()) * float64(time.Second))
}

// guesses holds back who shows secrets that are none. 256 random bits are not
// guessed; but who tries is to be slow, cheap to answer, and seen.
type guesses struct {
	from *bucketful[netip.Prefix]
	// joined are accounts that were opened without an invitation.
	joined *bucketful[netip.Prefix]
}

const (
	guessBurst = 10               // wrong secrets in a row
	guessAgain = 10 * time.Second // for each more
	joinBurst  = 10               // accounts without an invitation, from one address
	joinAgain  = 10 * time.Minute // for each more
)

func newGuesses() guesses {
	return guesses{
		from:   newBucketful[netip.Prefix](rate.Every(guessAgain), guessBurst),
		joined: newBucketful[netip.Prefix](rate.Every(joinAgain), joinBurst),
	}
}

// mayTry refuses to look at another secret from an address that has shown too many
// wrong ones.
func (g guesses) mayTry(from netip.Prefix) error {
	at := time.Now()
	if after := wait(g.from.of(from, at), 1, at); after > 0 {
		return tooMany(ReasonTooManyGuesses, "too many tokens from this address were wrong", after)
	}
	return nil
}

func (g guesses) failed(from netip.Prefix) {
	at := time.Now()
	g.from.of(from, at).AllowN(at, 1)
}

// mayJoin counts an account that is opened without an invitation.
func (g guesses) mayJoin(from netip.Prefix) error {
	at := time.Now()
	one := g.joined.of(from, at)
	if one.AllowN(at, 1) {
		return nil
	}
	return tooMany(ReasonTooManyCalls, "too many accounts were opened from this address", wait(one, 1, at))
}

// tooMany says that a caller has asked for too much, and when to ask again.
func tooMany(reason, message string, after time.Duration) *Problem {
	after = after.Round(time.Second) + time.Second
	return problem(codes.ResourceExhausted, reason, "%s: try again in %v", message, after).
		with(&errdetails.RetryInfo{RetryDelay: durationpb.New(after)})
}
