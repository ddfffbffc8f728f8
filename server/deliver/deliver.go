package deliver

import (
	"cmp"
	"context"
	"log/slog"
	"math/rand/v2"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/store"
)

// Config says what a registry sends, and how. Its zero value sends webhooks to
// public addresses, and no e-mail.
type Config struct {
	Rules
	// Mail is how e-mail is sent; nil: it is not.
	Mail *Mail
	// Gather is how long an e-mail that need not wait for a digest does wait for
	// more to come; 0 is a minute.
	Gather time.Duration
	// Unasked sends alerts to addresses without asking there first whose they are:
	// for a registry whose seekers the operator knows.
	Unasked bool
	// Now tells the time; nil: the machine's.
	Now func() time.Time
}

// A Deliverer follows the journal and sends what is due. One at a time follows a
// store; see Run.
type Deliverer struct {
	store   store.Store
	log     *slog.Logger
	rules   Rules
	mail    *Mail // nil: no e-mail
	gather  time.Duration
	unasked bool
	now     func() time.Time
	chance  func() float64

	// What follows belongs to whoever runs turn.

	cursor uint64  // as the store has it
	seen   uint64  // up to where the journal was looked at; at least cursor
	lists  *agenda // wanted lists with something waiting
	lanes  map[pb.Channel]*lane
	done   chan sent
	// questions are when addresses were asked to be confirmed.
	questions questions
}

// A lane is a channel on which dispatches go, several at a time.
type lane struct {
	send    func(context.Context, *job) error
	due     *agenda        // dispatches by when they may be tried
	most    int            // under way at a time
	running int            // under way now
	busy    map[string]int // under way now, by wanted list
	// held are those whose time has come while enough of their list are under way.
	held map[string][]string
}

// sent says that a dispatch is no longer under way.
type sent struct {
	channel    pb.Channel
	name, list string
	// again says that the store failed before it was claimed.
	again bool
}

const (
	mostEmails   = 4           // under way at a time
	mostWebhooks = 16          // the same
	mostOfList   = 2           // the same, of one list: a slow webhook must not hold up the others
	retryAfter   = time.Second // after a fault of the store
)

// New returns a deliverer over a store. Nothing happens until Run.
func New(s store.Store, c Config, log *slog.Logger) *Deliverer {
	d := &Deliverer{
		store: s, log: log, rules: c.Rules, mail: c.Mail, gather: cmp.Or(c.Gather, usualGather), unasked: c.Unasked, now: c.Now, chance: rand.Float64,
		lists: newAgenda(), done: make(chan sent, mostEmails+mostWebhooks), questions: questions{},
	}
	if d.now == nil {
		d.now = time.Now
	}
	d.lanes = map[pb.Channel]*lane{pb.Channel_CHANNEL_WEBHOOK: newLane(mostWebhooks, newHooks(c.Rules, nil).send)}
	if d.mail != nil {
		d.lanes[pb.Channel_CHANNEL_EMAIL] = newLane(mostEmails, d.mail.send)
	}
	return d
}

func newLane(most int, send func(context.Context, *job) error) *lane {
	return &lane{send: send, due: newAgenda(), most: most, busy: map[string]int{}, held: map[string][]string{}}
}

// stopGrace is how long what is under way may take when all is to end.
const stopGrace = 5 * time.Second

// Run delivers until ctx is done. A fault is logged, and the work taken up again
// from what the store has.
func (d *Deliverer) Run(ctx context.Context) {
	sending, cut := context.WithCancel(context.WithoutCancel(ctx))
	defer cut()
	defer context.AfterFunc(ctx, func() { time.AfterFunc(stopGrace, cut) })()
	for ctx.Err() == nil {
		err := d.follow(ctx, sending)
		if ctx.Err() != nil {
			break
		}
		d.log.Error("deliver: starting again from the store", "error", err)
		select {
		case <-ctx.Done():
		case <-time.After(retryAfter):
		}
	}
	d.drain()
}

func (d *Deliverer) follow(ctx, sending context.Context) error {
	if err := d.load(ctx); err != nil {
		return err
	}
	for {
		next, err := d.turn(ctx, sending)
		if err != nil {
			return err
		}
		if err := d.wait(ctx, next); err != nil {
			return err
		}
	}
}

// turn does all that can be done now, without waiting for what it sends, and
// returns when there will be more; zero if nothing is known of.
func (d *Deliverer) turn(ctx, sending context.Context) (time.Time, error) {
	for {
		if err := d.catchUp(ctx); err != nil {
			return time.Time{}, err
		}
		list, _, ok := d.lists.take(d.now())
		if !ok {
			break
		}
		wake, err := d.pack(ctx, list)
		if err != nil {
			return time.Time{}, err
		}
		if !wake.IsZero() {
			d.lists.set(list, "", wake)
		}
	}
	next := d.lists.next()
	for c, l := range d.lanes {
		d.start(sending, c, l)
		if l.running < l.most { // else the end of one of them is what to wait for
			next = sooner(next, l.due.next())
		}
	}
	return next, nil
}

// sooner is the earlier of two times, of which zero is none.
func sooner(a, b time.Time) time.Time {
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
}

// start sets as many dispatches of a lane under way as may be.
func (d *Deliverer) start(ctx context.Context, c pb.Channel, l *lane) {
	for now := d.now(); l.running < l.most; {
		name, list, ok := l.due.take(now)
		if !ok {
			return
		}
		if l.busy[list] >= mostOfList {
			l.held[list] = append(l.held[list], name)
			continue
		}
		l.running++
		l.busy[list]++
		go func() {
			claimed := d.deliver(ctx, l, name)
			d.done <- sent{channel: c, name: name, list: list, again: !claimed}
		}()
	}
}

// ended takes note that a dispatch is no longer under way, so that another of its
// list may go.
func (d *Deliverer) ended(s sent) {
	l := d.lanes[s.channel]
	l.running--
	if l.busy[s.list]--; l.busy[s.list] == 0 {
		delete(l.busy, s.list)
	}
	if s.again {
		l.due.set(s.name, s.list, d.now().Add(retryAfter))
	}
	if held := l.held[s.list]; len(held) > 0 {
		l.due.set(held[0], s.list, d.now())
		if l.held[s.list] = held[1:]; len(held) == 1 {
			delete(l.held, s.list)
		}
	}
}

// running is how many dispatches are under way.
func (d *Deliverer) running() (n int) {
	for _, l := range d.lanes {
		n += l.running
	}
	return n
}

// drain waits for what is under way.
func (d *Deliverer) drain() {
	for d.running() > 0 {
		d.ended(<-d.done)
	}
}

// wait returns when the journal has gone on, something was sent, or the time has
// come.
func (d *Deliverer) wait(ctx context.Context, next time.Time) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	moved := make(chan error, 1)
	go func(after uint64) { moved <- d.store.Wait(ctx, after) }(d.seen)
	var timer <-chan time.Time
	if !next.IsZero() {
		t := time.NewTimer(next.Sub(d.now()))
		defer t.Stop()
		timer = t.C
	}
	select {
	case err := <-moved:
		return err
	case s := <-d.done:
		d.ended(s)
	case <-timer:
	}
	return nil
}
