// Package server builds a registry out of the store, the index and the alert
// matcher, and serves it.
//
// A newcomer reads it in this order: registry.go (what a registry is made of),
// lots.go (a service: check, write, answer), follow.go (how the index follows
// the journal), alerts.go, serve.go.
package server

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"google.golang.org/grpc"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/server/alerts"
	"heirpress/server/deliver"
	"heirpress/server/private"
	"heirpress/server/routing"
	"heirpress/server/store"
)

// Config says where a registry lives. The zero value keeps it in the working
// directory and logs nowhere.
type Config struct {
	// Dir is the data folder. It is made if it is not there.
	Dir string
	// Store is the address of a PostgreSQL database, "postgres://user@host/name",
	// that other daemons may share; the data folder then keeps only the index.
	// Empty: an SQLite file in the data folder.
	Store string
	// Photos is the URL of the blob store that the bytes of photos are in, as
	// "file:///srv/photos" or "mem://", or of another scheme whose driver the program
	// has linked. Empty: a folder in the data folder. Daemons that share a store must
	// share this too.
	Photos string
	// Log takes what an operator should know. Nil: nothing is logged.
	Log *slog.Logger
	// AlwaysFresh makes every search and every list of alerts wait for all that
	// was written before it, as the one user of an embedded registry expects.
	AlwaysFresh bool
	// Deliver says how alerts are sent. Nil: they are not, and stay in the inbox.
	Deliver *deliver.Config
	// Routing is the operator's own routing service, which MeasureRoad asks. Nil:
	// every way is estimated.
	Routing *routing.Service
	// Observer hears how long calls take, of the registry and of its store. Nil:
	// nobody does.
	Observer Observer
	// Accounts says whether callers are told apart. The zero value has no accounts,
	// as for an embedded registry: every call is its owner's.
	Accounts Accounts
	// Limits is how much one caller may ask of it, where there are accounts.
	Limits Limits
	// Clock tells the time that writes get. Nil: the wall clock.
	Clock func() time.Time
	// Keys are in the file that private places are sealed with. Its zero value has
	// none: then private places are not kept.
	Keys private.Keys
	// StreamPatience is how long a stream waits for a reader who takes nothing,
	// before it tells them to come back. 0 means 30 s.
	StreamPatience time.Duration
}

// Registry is a store, the index that follows it and the matcher that follows
// it, behind the contract's services.
type Registry struct {
	config  Config
	log     *slog.Logger
	store   store.Store
	shared  sharedStore // the store, if other daemons may have it open too; else nil
	index   *search.Index
	photos  *album
	matcher *alerts.Matcher
	// onlooker knows the wants while the matcher runs in another daemon.
	onlooker *alerts.Onlooker
	// matching tells whether the matcher runs here.
	matching atomic.Bool
	stuck    atomic.Bool // the index stays behind the journal
	tokens   sealer
	guesses  guesses
	spent    *spent
	floor    uint64 // the journal's head at Open: no search answers from less

	draining context.Context // done when streams are to end
	drain    context.CancelFunc
	closing  context.Context // done when the followers are to end
	close    context.CancelFunc
	working  sync.WaitGroup
	unlock   func() error
}

// Open opens the registry in a data folder, or begins one, and sets its
// followers to work. It returns a *BusyError if another process has the folder
// and has not let go of it by ctx's deadline.
func Open(ctx context.Context, c Config) (*Registry, error) {
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	if c.Clock == nil {
		c.Clock = time.Now
	}
	r := &Registry{config: c, log: c.Log, guesses: newGuesses(), spent: newSpent(c.Limits)}
	r.draining, r.drain = context.WithCancel(context.Background())
	r.closing, r.close = context.WithCancel(context.Background())
	if err := r.open(ctx); err != nil {
		return nil, errors.Join(err, r.Close())
	}
	r.work(r.followIndex)
	r.work(r.match)
	if r.shared != nil {
		r.work(r.onlook)
	}
	r.work(r.forget)
	r.work(r.erase)
	r.work(r.watchIndex)
	r.work(r.sweep)
	if c.Deliver != nil {
		r.work(r.send)
	}
	return r, nil
}

func (r *Registry) open(ctx context.Context) (err error) {
	if err := os.MkdirAll(r.config.Dir, 0o700); err != nil {
		return fmt.Errorf("the data folder cannot be made: %w", err)
	}
	if r.unlock, err = lock(ctx, r.config.Dir); err != nil {
		return err
	}
	ctx = context.WithoutCancel(ctx) // the deadline is for the lock alone
	s, err := openStore(ctx, r.config.Dir, r.config.Store, r.config.Clock)
	if err != nil {
		return err
	}
	r.store = s
	r.shared, _ = s.(sharedStore)
	if r.config.Observer != nil {
		r.store = observed{s, r.config.Observer}
	}
	if shared, ok := s.(fmt.Stringer); ok {
		r.log.Info("registry: the store is shared", "store", shared.String())
		if r.config.Photos == "" {
			r.log.Warn("registry: photos are kept in this daemon's own folder: name a blob store that all daemons share")
		}
	}
	if r.photos, err = openAlbum(ctx, r.config.Dir, r.config.Photos); err != nil {
		return err
	}
	if r.index, err = search.Open(IndexFolder(r.config.Dir, s, r.config.Accounts), search.Options{}); err != nil {
		return err
	}
	if r.floor, err = r.store.Head(ctx); err != nil {
		return err
	}
	key, err := secret(ctx, r.store)
	r.tokens = sealer{key: key}
	r.matcher = alerts.New(r.store, standing{r}, r.log)
	r.onlooker = alerts.NewOnlooker(r.store, r.log)
	r.matcher.KeepBook(filepath.Join(r.config.Dir, "wants"))
	return err
}

// secretName is the record of the key that seals tokens. It is kept with the
// rest, so that a token outlives a restart and is good on every replica.
const secretName = "registry/token-key"

func secret(ctx context.Context, s store.Store) (key []byte, err error) {
	if r, err := s.Get(ctx, secretName); err == nil {
		return r.Body, nil
	}
	err = s.Write(ctx, func(tx store.Tx) error {
		r, err := tx.Get(ctx, secretName)
		if errors.Is(err, store.ErrNotFound) {
			fresh := make([]byte, 32)
			rand.Read(fresh) //nolint:errcheck // never fails
			r, err = tx.Create(ctx, store.Record{Name: secretName, Collection: "registry", Body: fresh})
		}
		key = r.Body
		return err
	})
	return key, err
}

// Register puts the registry's services on a gRPC server.
func (r *Registry) Register(on grpc.ServiceRegistrar) {
	pb.RegisterShopServiceServer(on, &shopService{Registry: r})
	pb.RegisterLotServiceServer(on, &lotService{Registry: r})
	pb.RegisterSearchServiceServer(on, &searchService{Registry: r})
	pb.RegisterWantServiceServer(on, &wantService{Registry: r})
	pb.RegisterAlertServiceServer(on, &alertService{Registry: r})
	pb.RegisterDeliveryServiceServer(on, &deliveryService{Registry: r})
	pb.RegisterInterestServiceServer(on, &interestService{Registry: r})
	pb.RegisterPhotoServiceServer(on, &photoService{Registry: r})
	pb.RegisterRoadServiceServer(on, &roadService{Registry: r})
	pb.RegisterAccountServiceServer(on, &accountService{Registry: r})
	pb.RegisterPrivatePlaceServiceServer(on, &privatePlaceService{Registry: r})
	pb.RegisterIntroductionServiceServer(on, &introductionService{Registry: r})
	pb.RegisterHistoryServiceServer(on, &historyService{Registry: r})
	pb.RegisterProofServiceServer(on, &proofService{Registry: r})
}

func (r *Registry) work(task func(context.Context)) {
	r.working.Go(func() { task(r.closing) })
}

const keepAnswers = 30 * 24 * time.Hour

// forget drops remembered answers that nobody can ask for any more.
func (r *Registry) forget(ctx context.Context) {
	for every := time.NewTicker(time.Hour); ; {
		select {
		case <-ctx.Done():
			every.Stop()
			return
		case <-every.C:
		}
		if _, err := r.store.Forget(ctx, time.Now().Add(-keepAnswers)); err != nil && ctx.Err() == nil {
			r.log.Error("registry: old answers not forgotten", "error", err)
		}
	}
}

// eraseEvery is how long an address may stay in the journal that is no longer in
// use.
const eraseEvery = time.Minute

// erase takes such addresses out of the journal.
func (r *Registry) erase(ctx context.Context) {
	for every := time.NewTicker(eraseEvery); ; {
		if err := deliver.Erase(ctx, r.store); err != nil && ctx.Err() == nil {
			r.log.Error("registry: addresses that are no longer in use not erased", "error", err)
		}
		select {
		case <-ctx.Done():
			every.Stop()
			return
		case <-every.C:
		}
	}
}

// StopStreams ends every alert stream with the word to come back. Other calls,
// and the followers they may be waiting for, go on until Close.
func (r *Registry) StopStreams() { r.drain() }

// Close stops the followers and releases the folder. What was acknowledged is
// on disk; what the followers had not come to, they take up at the next Open.
func (r *Registry) Close() error {
	r.drain()
	r.close()
	r.working.Wait()
	var errs []error
	if r.index != nil {
		errs = append(errs, r.index.Close())
	}
	if r.photos != nil {
		errs = append(errs, r.photos.close())
	}
	if r.store != nil {
		errs = append(errs, r.store.Close())
	}
	if r.unlock != nil {
		errs = append(errs, r.unlock())
	}
	return errors.Join(errs...)
}
