package main

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	pb "heirpress/proto/heirpress/v1"
)

// followKills is how often TestKillUnderAFollower kills the daemon.
var followKills = flag.Int("follow-kills", 20, "how often the daemon is killed under a follower")

// TestKillUnderAFollower kills the daemon while alerts are streamed: right after
// the first, second, third … event of a connection has come, or before any has. A
// follower who comes back with the last token is told every alert, and none twice.
func TestKillUnderAFollower(t *testing.T) {
	rounds := *followKills
	if testing.Short() {
		rounds = 4
	}
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	k := &killing{dir: filepath.Join(t.TempDir(), "registry"), random: rand.New(rand.NewPCG(seed, 0))}
	k.open(t)
	f := &followed{told: map[string]int{}}
	for round := range rounds {
		f.until(t, k, round, k.random.IntN(6))
	}
	d := k.start(t)
	defer d.kill()
	all := alerted(t, d, f.change)
	f.next(t, d, max(0, len(all)-len(f.told)))
	for _, name := range all {
		if f.told[name] != 1 {
			t.Errorf("%s was told %d times", name, f.told[name])
		}
	}
	if len(f.told) != len(all) || len(all) != rounds*followLots {
		t.Errorf("%d alerts were told of %d, of %d lots", len(f.told), len(all), rounds*followLots)
	}
}

// followLots is how many lots are posted a round.
const followLots = 5

// followed keeps a follower's place in a stream, and what it was told.
type followed struct {
	token  string
	told   map[string]int // how often, by the lot's name
	change uint64         // of the last lot posted
}

// until posts lots, and kills the daemon when so many of the alerts have come.
func (f *followed) until(t *testing.T, k *killing, round, events int) {
	t.Helper()
	d := k.start(t)
	defer d.kill()
	batch := &pb.BatchCreateLotsRequest{Parent: k.shop}
	for i := range followLots {
		batch.Lots = append(batch.Lots, &pb.Lot{Tag: fmt.Sprintf("%d-%d", round, i), Title: "gothic wood type", Kind: pb.Kind_KIND_WOOD_TYPE})
	}
	posted, err := d.lots.BatchCreateLots(t.Context(), batch)
	if err != nil {
		t.Fatal(err)
	}
	f.change = posted.GetChange()
	f.next(t, d, min(events, followLots))
}

// next reads so many alerts of the stream.
func (f *followed) next(t *testing.T, d *live, events int) {
	t.Helper()
	if events == 0 {
		return
	}
	ctx, cancel := context.WithTimeout(t.Context(), aLongTime)
	defer cancel()
	stream, err := d.alerts.StreamAlerts(ctx, &pb.StreamAlertsRequest{ResumeToken: f.token})
	if err != nil {
		t.Fatal(err)
	}
	for events > 0 {
		event, err := stream.Recv()
		if err != nil {
			t.Fatal(err)
		}
		f.token = event.GetResumeToken()
		if event.GetAlert() != nil {
			f.told[event.GetAlert().GetLot().GetName()]++
			events--
		}
	}
}
