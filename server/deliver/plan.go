package deliver

import (
	"cmp"
	"slices"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
)

// usualGather is how long an e-mail that need not wait for a digest does wait
// for more to come, so that a shop posted in one go is one e-mail.
const usualGather = time.Minute

// mostTold is the most alerts that one e-mail tells of; more go in the next.
const mostTold = 10_000

// settings are what a seeker has asked for of e-mails.
type settings struct {
	digest   pb.Digest
	zone     *time.Location
	quiet    quiet
	mostADay int
	gather   time.Duration
}

// pending is an alert that waits to be told.
type pending struct {
	name   string
	made   time.Time
	fit    float64
	urgent bool
}

// plan is what is to be done now, and when to look again.
type plan struct {
	// tell are the names of what goes into one e-mail now, in the order in which
	// it is told; empty if nothing goes.
	tell []string
	// wake is when there will be something to do; zero if nothing waits.
	wake time.Time
}

// planEmail says what of that which is pending goes now. sent are the times of
// the e-mails already made, of at least the two days before now.
//
// Nothing goes in the quiet hours, nor when the day has had its most: what then
// is due waits for the next morning's digest. Everything that is due goes
// together, and with it everything else that does not wait for a digest.
func planEmail(now time.Time, s settings, waiting []pending, sent []time.Time) plan {
	now = now.In(s.zone)
	if len(waiting) == 0 {
		return plan{}
	}
	if opens := s.opens(now, sent); opens.After(now) {
		return plan{wake: later(opens, s.earliest(waiting, sent))}
	}
	if first := s.earliest(waiting, sent); first.After(now) {
		return plan{wake: first}
	}
	told, left := s.split(now, waiting)
	p := plan{tell: told}
	if len(left) > 0 {
		sent = append(slices.Clone(sent), now)
		p.wake = later(s.opens(now, sent), s.earliest(left, sent))
	}
	return p
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// due is when an alert should go, were there no quiet hours and no most a day.
func (s settings) due(p pending) time.Time {
	made := p.made.In(s.zone)
	switch {
	case p.urgent || s.digest == pb.Digest_DIGEST_IMMEDIATE:
		return made.Add(s.gather)
	case s.digest == pb.Digest_DIGEST_WEEKLY:
		return nextWeekly(made)
	}
	return nextDaily(made)
}

// opens is the first moment from t on at which an e-mail may go.
func (s settings) opens(t time.Time, sent []time.Time) time.Time {
	for {
		t = s.quiet.after(t)
		if !s.full(dayOf(t), sent) {
			return t
		}
		t = dayOf(t).next().digestOn(s.zone)
	}
}

// full tells whether a day has had its most e-mails.
func (s settings) full(d day, sent []time.Time) bool {
	n := 0
	for _, t := range sent {
		if dayOf(t.In(s.zone)) == d {
			n++
		}
	}
	return n >= s.mostADay
}

// earliest is when the first of what waits may go. What was due on a day that
// had had its most waits for the next morning, even if it is looked at before.
func (s settings) earliest(waiting []pending, sent []time.Time) time.Time {
	first := s.due(waiting[0])
	for _, p := range waiting[1:] {
		if t := s.due(p); t.Before(first) {
			first = t
		}
	}
	return s.opens(first, sent)
}

// split parts what goes now, in the order in which it is told, from what waits
// on. If there is too much for one e-mail, the oldest go first.
func (s settings) split(now time.Time, waiting []pending) (told []string, left []pending) {
	var going []pending
	for _, p := range waiting {
		if p.urgent || s.digest == pb.Digest_DIGEST_IMMEDIATE || !s.due(p).After(now) {
			going = append(going, p)
		} else {
			left = append(left, p)
		}
	}
	slices.SortStableFunc(going, func(a, b pending) int { return cmp.Or(a.made.Compare(b.made), cmp.Compare(a.name, b.name)) })
	if len(going) > mostTold {
		going, left = going[:mostTold], append(left, going[mostTold:]...)
	}
	slices.SortStableFunc(going, func(a, b pending) int { return notice.Order(a.urgent, a.fit, b.urgent, b.fit) })
	for _, p := range going {
		told = append(told, p.name)
	}
	return told, left
}
