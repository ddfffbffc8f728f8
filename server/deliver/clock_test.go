package deliver

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

func zone(t interface{ Fatal(...any) }, name string) *time.Location {
	l, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// The days on which the clock is set, from the IANA time zone data: in Detroit
// 8 March 2026 at 2:00 (to 3:00) and 1 November 2026 at 2:00 (to 1:00); in
// London 29 March 2026 at 1:00 (to 2:00); on Lord Howe Island by half an hour,
// 4 October 2026 at 2:00 (to 2:30).
func TestQuietHoursWhenTheClockIsSet(t *testing.T) {
	for _, c := range []struct{ name, zone, from, until, at, after string }{
		{"an evening", "America/Detroit", "22:00", "07:00", "2026-06-03T02:30:00Z", "2026-06-03T11:00:00Z"}, // 22:30 EDT to 7:00 EDT
		{"not quiet", "America/Detroit", "22:00", "07:00", "2026-06-03T01:59:59Z", "2026-06-03T01:59:59Z"},  // 21:59:59
		{"the night the clock goes forward", "America/Detroit", "22:00", "07:00", "2026-03-08T03:30:00Z", "2026-03-08T11:00:00Z"},
		{"the night the clock goes back", "America/Detroit", "22:00", "07:00", "2026-11-01T02:30:00Z", "2026-11-01T12:00:00Z"},
		{"the end lies in the hour that is left out", "America/Detroit", "01:00", "02:30", "2026-03-08T06:10:00Z", "2026-03-08T07:00:00Z"},
		{"the end comes twice, and the first counts", "America/Detroit", "00:30", "01:30", "2026-11-01T04:40:00Z", "2026-11-01T05:30:00Z"},
		{"and then it is quiet once more", "America/Detroit", "00:30", "01:30", "2026-11-01T06:10:00Z", "2026-11-01T06:30:00Z"},
		{"in London", "Europe/London", "23:00", "06:00", "2026-03-28T23:30:00Z", "2026-03-29T05:00:00Z"},
		{"by half an hour", "Australia/Lord_Howe", "01:00", "02:15", "2026-10-03T15:00:00Z", "2026-10-03T15:30:00Z"},
		{"by day", "America/Detroit", "12:00", "13:00", "2026-06-03T16:00:00Z", "2026-06-03T17:00:00Z"},
		{"none", "America/Detroit", "00:00", "00:00", "2026-06-03T16:00:00Z", "2026-06-03T16:00:00Z"},
	} {
		from, _ := parseTimeOfDay(c.from)
		until, _ := parseTimeOfDay(c.until)
		at, _ := time.Parse(time.RFC3339, c.at)
		got := quiet{from, until}.after(at.In(zone(t, c.zone)))
		if text := got.UTC().Format(time.RFC3339); text != c.after {
			t.Errorf("%s: %s, want %s", c.name, text, c.after)
		}
	}
}

func TestDigestsWhenTheClockIsSet(t *testing.T) {
	for _, c := range []struct{ name, zone, at, daily, weekly string }{
		{"a Wednesday", "America/Detroit", "2026-06-03T18:00:00Z", "2026-06-04T12:00:00Z", "2026-06-08T12:00:00Z"},
		{"at the hour itself, the next", "America/Detroit", "2026-06-03T12:00:00Z", "2026-06-04T12:00:00Z", "2026-06-08T12:00:00Z"},
		{"before the clock goes forward", "America/Detroit", "2026-03-07T18:00:00Z", "2026-03-08T12:00:00Z", "2026-03-09T12:00:00Z"},
		{"before the clock goes back", "America/Detroit", "2026-10-31T18:00:00Z", "2026-11-01T13:00:00Z", "2026-11-02T13:00:00Z"},
		{"before the turn of the year", "Pacific/Auckland", "2026-12-31T10:00:00Z", "2026-12-31T19:00:00Z", "2027-01-03T19:00:00Z"},
	} {
		at, _ := time.Parse(time.RFC3339, c.at)
		in := at.In(zone(t, c.zone))
		if got := nextDaily(in).UTC().Format(time.RFC3339); got != c.daily {
			t.Errorf("%s: daily %s, want %s", c.name, got, c.daily)
		}
		if got := nextWeekly(in).UTC().Format(time.RFC3339); got != c.weekly {
			t.Errorf("%s: weekly %s, want %s", c.name, got, c.weekly)
		}
	}
}

func TestParseTimeOfDay(t *testing.T) {
	for text, want := range map[string]int{"00:00": 0, "7:05": 425, "07:05": 425, "23:59": 1439} {
		if got, err := parseTimeOfDay(text); err != nil || got != want {
			t.Errorf("%q: %d, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "24:00", "7", "7:60", "7:5", "07:00:00", "-1:00", " 7:00", "7 pm"} {
		if _, err := parseTimeOfDay(text); err == nil {
			t.Errorf("%q was read", text)
		}
	}
}

// The first moment that is not quiet is not quiet, and all before it are.
func TestQuietAfter(t *testing.T) {
	zones := []string{"America/Detroit", "Europe/London", "Asia/Kathmandu", "Australia/Lord_Howe", "America/St_Johns", "UTC"}
	rapid.Check(t, func(t *rapid.T) {
		q := quiet{rapid.IntRange(0, 1439).Draw(t, "from"), rapid.IntRange(0, 1439).Draw(t, "until")}
		l := zone(t, rapid.SampledFrom(zones).Draw(t, "zone"))
		at := time.Unix(rapid.Int64Range(1_760_000_000, 1_860_000_000).Draw(t, "at"), 0).In(l)
		got := q.after(at)
		if q.holds(got) || got.Before(at) {
			t.Fatalf("%v: after %v comes %v", q, at, got)
		}
		for m := at; m.Before(got); m = m.Add(30 * time.Second) {
			if !q.holds(m) {
				t.Fatalf("%v: %v is not quiet, and %v came", q, m, got)
			}
		}
	})
}
