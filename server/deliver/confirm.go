package deliver

import (
	"context"
	"crypto/subtle"
	"strings"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/store"
)

// confirmFor is how long an address may be confirmed after it was asked; until
// then what turns up waits for it.
const confirmFor = 7 * 24 * time.Hour

// An address is asked at most so often in a day, however many lists name it, so
// that nobody can be pestered by way of a registry.
const mostAsked = 3

// askedMost is how many addresses it is remembered of that they were asked. Beyond
// that nobody is asked for a while.
const askedMost = 10_000

// unconfirmed tells whether an address must be confirmed before alerts go there.
func (d *Deliverer) unconfirmed(k *pb.KeptDelivery) bool {
	return !d.unasked && k.GetConfirmCode() != "" && k.GetDelivery().GetEmail() != ""
}

// ConfirmExpired tells whether an address was asked, and has let the time go by.
func ConfirmExpired(k *pb.KeptDelivery, now time.Time) bool {
	return k.GetConfirmByTime() != nil && !k.GetConfirmByTime().AsTime().After(now)
}

// confirmName is the name of the dispatch that asks with a code: there is one.
func confirmName(list, code string) string { return hashed("dispatches", "confirm", list, code) }

// questions remembers when addresses were asked. It is kept in memory only, so that
// no list of addresses outlives their use; a new process begins anew.
type questions map[string][]time.Time

// opens is when an address may be asked.
func (q questions) opens(address string, now time.Time) time.Time {
	times := q.recent(address, now)
	if len(times) < mostAsked {
		return now
	}
	return times[len(times)-mostAsked].Add(24 * time.Hour)
}

func (q questions) recent(address string, now time.Time) []time.Time {
	times := q[strings.ToLower(address)]
	for len(times) > 0 && now.Sub(times[0]) >= 24*time.Hour {
		times = times[1:]
	}
	return times
}

// full tells whether no more addresses can be remembered, when those of a day ago
// are forgotten.
func (q questions) full(now time.Time) bool {
	if len(q) < askedMost {
		return false
	}
	for address := range q {
		if len(q.recent(address, now)) == 0 {
			delete(q, address)
		}
	}
	return len(q) >= askedMost
}

func (q questions) add(address string, now time.Time) {
	q[strings.ToLower(address)] = append(q.recent(address, now), now)
}

// ask makes the e-mail that asks for a confirmation, where one is due. It returns
// when to look again, if it is too soon.
func (p *packing) ask(ctx context.Context, d *Deliverer) (wake time.Time, err error) {
	p.asked = ""
	if d.mail == nil || !d.unconfirmed(p.kept) || p.kept.GetConfirmByTime() != nil || !wantsEmail(p.kept.GetDelivery()) {
		return time.Time{}, nil
	}
	address := p.kept.GetDelivery().GetEmail()
	if d.questions.full(p.now) {
		return p.now.Add(time.Hour), nil
	}
	if opens := d.questions.opens(address, p.now); opens.After(p.now) {
		return opens, nil
	}
	r, err := dispatchRecord(&pb.Dispatch{
		Name: confirmName(p.list, p.kept.GetConfirmCode()), WantedList: p.list, Channel: pb.Channel_CHANNEL_EMAIL, Confirmation: true,
		State: pb.DispatchState_DISPATCH_STATE_DUE, CreateTime: timestamppb.New(p.now), NextTryTime: timestamppb.New(p.now),
	})
	if err != nil {
		return time.Time{}, err
	}
	if _, err := p.tx.Create(ctx, r); err != nil {
		return time.Time{}, err
	}
	p.asked, p.kept.ConfirmByTime = address, timestamppb.New(p.now.Add(confirmFor))
	if r, err = Record(p.kept); err == nil {
		_, err = p.tx.Update(ctx, r)
	}
	return time.Time{}, err
}

// awaits tells what becomes of alerts for an address that is not confirmed: they
// wait, at most until a time; or, zero, they are not wanted any more.
func awaits(k *pb.KeptDelivery, now time.Time) time.Time {
	switch {
	case ConfirmExpired(k, now):
		return time.Time{}
	case k.GetConfirmByTime() == nil:
		return now.Add(confirmFor)
	}
	return k.GetConfirmByTime().AsTime()
}

// confirmEmail confirms the address of a token with its code, or returns
// store.ErrNotFound. A code is good once, and until its time; to confirm what is
// confirmed changes nothing.
func confirmEmail(ctx context.Context, s store.Store, token, code string, now time.Time) (standing, error) {
	var found standing
	err := s.Write(ctx, func(tx store.Tx) error {
		kept, err := keptBy(ctx, tx, token)
		if err != nil {
			return err
		}
		if found = standingOf(kept, code, now); found != mayConfirm {
			return nil
		}
		found = confirmed
		kept.ConfirmCode, kept.ConfirmByTime = "", nil
		kept.Delivery.UpdateTime = timestamppb.New(tx.Now())
		r, err := Record(kept)
		if err == nil {
			_, err = tx.Update(ctx, r)
		}
		return err
	})
	return found, err
}

// keptBy is the delivery of a token, or store.ErrNotFound.
func keptBy(ctx context.Context, from store.Reader, token string) (*pb.KeptDelivery, error) {
	r, err := from.Find(ctx, store.Deliveries, "", token)
	if err != nil {
		return nil, err
	}
	return Kept(r)
}

// standing is how it stands with a confirmation.
type standing int

const (
	noSuchCode standing = iota
	mayConfirm
	tooLate
	confirmed
)

func standingOf(k *pb.KeptDelivery, code string, now time.Time) standing {
	switch {
	case k.GetConfirmCode() == "":
		return confirmed
	case subtle.ConstantTimeCompare([]byte(k.GetConfirmCode()), []byte(code)) == 0:
		return noSuchCode
	case ConfirmExpired(k, now):
		return tooLate
	}
	return mayConfirm
}
