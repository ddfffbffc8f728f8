package deliver

import (
	"context"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/store"
)

// journalSays tells how many entries of the journal hold a text.
func (r *rig) journalSays(t *testing.T, text string) (n int) {
	t.Helper()
	changes, err := r.store.Changes(t.Context(), 0, 10_000)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range changes {
		if strings.Contains(string(c.Record.Body), text) {
			n++
		}
	}
	return n
}

func (r *rig) erase(t *testing.T) {
	t.Helper()
	if err := Erase(t.Context(), r.store); err != nil {
		t.Fatal(err)
	}
}

// An address is in the journal no longer than it is in use; the others, and what
// is still to be sent to them, are as they were.
func TestErase(t *testing.T) {
	m := newMailServer(t)
	r := newRig(t, m.config())
	r.erase(t)
	r.put(t, &pb.Delivery{Email: "old@seeker.example", WebhookUrl: "https://hooks.example.org/key", WebhookSecret: secret})
	r.erase(t)
	if r.journalSays(t, "old@") != 1 || r.journalSays(t, secret) != 1 {
		t.Error("what is in use was erased")
	}
	r.put(t, &pb.Delivery{Email: address})
	r.alert(t, anAlert(1))
	r.erase(t)
	if r.journalSays(t, "old@") != 0 || r.journalSays(t, secret) != 0 || r.journalSays(t, "hooks.example") != 0 || r.journalSays(t, address) != 1 {
		t.Error("what was changed is still there, or what is in use is not")
	}
	r.finishAll(t)
	if mails := m.mails(); len(mails) != 1 || mails[0].Header.Get("To") != "<"+address+">" {
		t.Errorf("sent: %v", mails)
	}
	r.write(t, func(ctx context.Context, tx store.Tx) error {
		_, err := tx.Delete(ctx, Name(list))
		return err
	})
	r.erase(t)
	if n := r.journalSays(t, "@seeker.example"); n != 0 {
		t.Errorf("%d entries still hold an address", n)
	}
}

// Where there is much else in the journal, the place in it is kept, and not written
// down each time.
func TestEraseKeepsItsPlace(t *testing.T) {
	r := newRig(t, Config{})
	for n := range 3 {
		r.alert(t, anAlert(n))
	}
	r.erase(t)
	if at, _ := r.store.Cursor(t.Context(), EraseCursor); at != 0 {
		t.Errorf("it moved to %d for nothing", at)
	}
	for n := 3; n < seldom; n += 1000 {
		r.write(t, func(ctx context.Context, tx store.Tx) error {
			for i := range 1000 {
				if _, err := tx.Create(ctx, store.Record{Name: anAlert(n + i).GetName(), Collection: store.Alerts}); err != nil {
					return err
				}
			}
			return nil
		})
	}
	r.erase(t)
	head, _ := r.store.Head(t.Context())
	if at, _ := r.store.Cursor(t.Context(), EraseCursor); at != head {
		t.Errorf("it is at %d of %d", at, head)
	}
}
