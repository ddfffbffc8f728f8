package deliver

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
)

// A week is what a seeker gets while alerts are made, as planEmail has it.
type week struct {
	settings settings
	now      time.Time
	waiting  []pending
	sent     []time.Time
	told     map[string]time.Time
	made     map[string]pending
}

func drawSettings(t *rapid.T) settings {
	zones := []string{"America/Detroit", "Europe/London", "Asia/Kathmandu", "Australia/Lord_Howe", "UTC"}
	s := settings{
		digest: rapid.SampledFrom([]pb.Digest{pb.Digest_DIGEST_IMMEDIATE, pb.Digest_DIGEST_DAILY, pb.Digest_DIGEST_WEEKLY}).Draw(t, "digest"),
		zone:   zone(t, rapid.SampledFrom(zones).Draw(t, "zone")), mostADay: rapid.IntRange(1, 4).Draw(t, "most"), gather: usualGather,
	}
	if rapid.Bool().Draw(t, "has quiet hours") {
		s.quiet = quiet{rapid.IntRange(0, 1439).Draw(t, "from"), rapid.IntRange(0, 1439).Draw(t, "until")}
	}
	return s
}

// look plans at a moment and does what is said; it returns when to look again.
func (w *week) look(t *rapid.T) time.Time {
	p := planEmail(w.now, w.settings, w.waiting, w.sent)
	if len(p.tell) == 0 {
		if len(w.waiting) > 0 && !p.wake.After(w.now) {
			t.Fatalf("%d wait, nothing goes, and it wakes at %v, now %v", len(w.waiting), p.wake, w.now)
		}
		return p.wake
	}
	w.check(t, p)
	w.waiting = slices.DeleteFunc(w.waiting, func(one pending) bool { return slices.Contains(p.tell, one.name) })
	w.sent = append(w.sent, w.now)
	if (len(w.waiting) > 0) == p.wake.IsZero() {
		t.Fatalf("%d are left and it wakes at %v", len(w.waiting), p.wake)
	}
	return p.wake
}

// check holds an e-mail against what was promised.
func (w *week) check(t *rapid.T, p plan) {
	local := w.now.In(w.settings.zone)
	if w.settings.quiet.holds(local) {
		t.Fatalf("an e-mail in the quiet hours: %v, %v", w.settings.quiet, local)
	}
	if w.settings.full(dayOf(local), w.sent) {
		t.Fatalf("more than %d on %v", w.settings.mostADay, local)
	}
	prompt := false
	for i, name := range p.tell {
		one, pends := w.made[name], slices.ContainsFunc(w.waiting, func(o pending) bool { return o.name == name })
		if _, twice := w.told[name]; twice || !pends {
			t.Fatalf("%s is told twice, or was never pending", name)
		}
		w.told[name] = w.now
		prompt = prompt || one.urgent || w.settings.digest == pb.Digest_DIGEST_IMMEDIATE
		if i > 0 {
			before := w.made[p.tell[i-1]]
			if one.urgent && !before.urgent || one.urgent == before.urgent && one.fit > before.fit {
				t.Fatalf("%v is told after %v", one, before)
			}
		}
		if !one.urgent && w.settings.digest != pb.Digest_DIGEST_IMMEDIATE && nextDaily(one.made.In(w.settings.zone)).After(w.now) {
			t.Fatalf("%v did not wait for its digest, but went at %v", one, local)
		}
	}
}

// longest is how long an alert may wait at most: the digest, a full day or two
// that were had before, and the quiet hours.
func (w *week) longest() time.Duration {
	days := 3
	if w.settings.digest == pb.Digest_DIGEST_WEEKLY {
		days = 10
	}
	return time.Duration(days) * 24 * time.Hour
}

// Nothing is lost and nothing told twice, nothing goes in the quiet hours or
// above the day's most, digests keep their hour, and everything goes in time;
// whatever comes when, also on the days on which the clock is set, and also if
// it is looked at when there is no need to.
func TestPlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		start := rapid.SampledFrom([]string{"2026-03-05T00:00:00Z", "2026-03-27T00:00:00Z", "2026-06-01T00:00:00Z", "2026-10-01T00:00:00Z", "2026-10-29T00:00:00Z"}).Draw(t, "start")
		now, _ := time.Parse(time.RFC3339, start)
		w := &week{settings: drawSettings(t), now: now, told: map[string]time.Time{}, made: map[string]pending{}}
		var wake time.Time
		for i := range rapid.IntRange(1, 40).Draw(t, "events") {
			next := w.now.Add(time.Duration(rapid.IntRange(0, 20*60).Draw(t, "minutes")) * time.Minute)
			for !wake.IsZero() && !wake.After(next) {
				w.now = wake
				wake = w.look(t)
			}
			w.now = next
			if rapid.IntRange(0, 4).Draw(t, "kind") > 0 {
				one := pending{name: fmt.Sprint(i), made: w.now, fit: float64(rapid.IntRange(0, 3).Draw(t, "fit")), urgent: rapid.IntRange(0, 3).Draw(t, "urgent") == 0}
				w.waiting, w.made[one.name] = append(w.waiting, one), one
			}
			wake = w.look(t)
		}
		for !wake.IsZero() {
			w.now = wake
			wake = w.look(t)
		}
		for name, one := range w.made {
			at, told := w.told[name]
			if !told || at.Sub(one.made) > w.longest() {
				t.Fatalf("%v was told %v, at %v", one, told, at)
			}
		}
	})
}

func detroit(t *testing.T) settings {
	return settings{digest: pb.Digest_DIGEST_IMMEDIATE, zone: zone(t, "America/Detroit"), quiet: quiet{22 * 60, 7 * 60}, mostADay: 2, gather: usualGather}
}

func at(text string) time.Time {
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		panic(err)
	}
	return t
}

func TestPlanByExample(t *testing.T) {
	daily := detroit(t)
	daily.digest = pb.Digest_DIGEST_DAILY
	one := func(made string) []pending { return []pending{{name: "a", made: at(made)}} }
	urgent := one("2026-06-03T14:00:00Z")
	urgent[0].urgent = true
	for _, c := range []struct {
		name     string
		now      string
		settings settings
		waiting  []pending
		sent     []time.Time
		told     int
		wake     string
	}{
		{"nothing", "2026-06-03T14:00:00Z", detroit(t), nil, nil, 0, ""},
		{"it waits a minute for more", "2026-06-03T14:00:10Z", detroit(t), one("2026-06-03T14:00:00Z"), nil, 0, "2026-06-03T14:01:00Z"},
		{"and goes", "2026-06-03T14:01:00Z", detroit(t), one("2026-06-03T14:00:00Z"), nil, 1, ""},
		{"not in quiet hours", "2026-06-04T02:01:00Z", detroit(t), one("2026-06-04T02:00:00Z"), nil, 0, "2026-06-04T11:00:00Z"},
		{"the day has had its most", "2026-06-03T14:01:00Z", detroit(t), one("2026-06-03T14:00:00Z"),
			[]time.Time{at("2026-06-03T12:00:00Z"), at("2026-06-03T13:00:00Z")}, 0, "2026-06-04T12:00:00Z"},
		{"and it waits for the morning, not for midnight", "2026-06-04T11:30:00Z", detroit(t), one("2026-06-03T14:00:00Z"),
			[]time.Time{at("2026-06-03T12:00:00Z"), at("2026-06-03T13:00:00Z")}, 0, "2026-06-04T12:00:00Z"},
		{"yesterday evening in UTC is today in Detroit", "2026-06-03T14:01:00Z", detroit(t), one("2026-06-03T14:00:00Z"),
			[]time.Time{at("2026-06-03T03:30:00Z"), at("2026-06-03T12:00:00Z")}, 1, ""},
		{"a digest waits", "2026-06-03T14:01:00Z", daily, one("2026-06-03T14:00:00Z"), nil, 0, "2026-06-04T12:00:00Z"},
		{"an urgent one does not", "2026-06-03T14:01:00Z", daily, urgent, nil, 1, ""},
	} {
		p := planEmail(at(c.now), c.settings, c.waiting, c.sent)
		wake := ""
		if !p.wake.IsZero() {
			wake = p.wake.UTC().Format(time.RFC3339)
		}
		if len(p.tell) != c.told || wake != c.wake {
			t.Errorf("%s: tells %q and wakes at %s; want %d and %s", c.name, p.tell, wake, c.told, c.wake)
		}
	}
}

// A shop of 500 lots is one e-mail; what is more than an e-mail holds goes in
// the next, the oldest first.
func TestAFloodIsOneEmail(t *testing.T) {
	s := detroit(t)
	made := at("2026-06-03T14:00:00Z")
	var waiting []pending
	for i := range 500 {
		waiting = append(waiting, pending{name: fmt.Sprint(i), made: made.Add(time.Duration(i) * 50 * time.Millisecond), fit: float64(i % 100)})
	}
	if p := planEmail(made.Add(usualGather), s, waiting, nil); len(p.tell) != 500 || !p.wake.IsZero() {
		t.Errorf("%d are told, and it wakes at %v", len(p.tell), p.wake)
	}
	for i := range mostTold {
		waiting = append(waiting, pending{name: fmt.Sprint("late", i), made: made.Add(30 * time.Second)})
	}
	p := planEmail(made.Add(usualGather), s, waiting, nil)
	if len(p.tell) != mostTold || !slices.Contains(p.tell, "0") || p.wake.IsZero() {
		t.Errorf("%d are told, and it wakes at %v", len(p.tell), p.wake)
	}
}

func TestPause(t *testing.T) {
	var sum time.Duration
	for n := 1; n < mostTries; n++ {
		p, low, high := pause(n, 0.5), pause(n, 0), pause(n, 0.999)
		if low != time.Duration(0.8*float64(p)) || high <= p || high > time.Duration(1.2*float64(p)) || p > mostPause {
			t.Errorf("after try %d: %v, from %v to %v", n, p, low, high)
		}
		sum += p
	}
	if want := 66*time.Hour + 4*time.Minute; sum != want {
		t.Errorf("the pauses are %v in all, want %v", sum, want)
	}
}
