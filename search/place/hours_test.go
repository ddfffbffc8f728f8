package place_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"heirpress/search/place"
)

// The cases are worked out from the text of the rules: 49 CFR 395.3(a)(3), and
// articles 6 to 8 of Regulation (EC) 561/2006.
func TestTimetable(t *testing.T) {
	const h, m = time.Hour, time.Minute
	tests := []struct {
		law   place.Law
		wheel time.Duration
		want  place.Timetable
	}{
		{place.USLaw, 0, place.Timetable{}},
		{place.USLaw, 3 * h, place.Timetable{Total: 3 * h}},
		{place.USLaw, 8 * h, place.Timetable{Total: 8 * h}}, // a break is due to drive on, not to arrive
		{place.USLaw, 8*h + m, place.Timetable{Breaks: 1, Total: 8*h + 31*m}},
		{place.USLaw, 11 * h, place.Timetable{Breaks: 1, Total: 11*h + 30*m}},
		{place.USLaw, 12 * h, place.Timetable{Breaks: 1, Rests: 1, Total: 22*h + 30*m}},
		{place.USLaw, 20 * h, place.Timetable{Breaks: 2, Rests: 1, Total: 31 * h}},
		{place.USLaw, 33 * h, place.Timetable{Breaks: 3, Rests: 2, Total: 54*h + 30*m}},
		{place.EULaw, 4*h + 30*m, place.Timetable{Total: 4*h + 30*m}},
		{place.EULaw, 5 * h, place.Timetable{Breaks: 1, Total: 5*h + 45*m}},
		{place.EULaw, 9 * h, place.Timetable{Breaks: 1, Total: 9*h + 45*m}},
		{place.EULaw, 10 * h, place.Timetable{Breaks: 1, Rests: 1, Total: 21*h + 45*m}},
		{place.EULaw, 14 * h, place.Timetable{Breaks: 2, Rests: 1, Total: 26*h + 30*m}},
	}
	for _, test := range tests {
		if got := test.law.Timetable(test.wheel); got != test.want {
			t.Errorf("%s, %v at the wheel: %+v, want %+v", test.law.Name, test.wheel, got, test.want)
		}
	}
}

// However long the way, nobody is at the wheel longer than the law allows.
func TestTimetableKeepsTheLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		law := rapid.SampledFrom([]place.Law{place.USLaw, place.EULaw}).Draw(t, "law")
		wheel := time.Duration(rapid.IntRange(1, 200*60).Draw(t, "minutes")) * time.Minute
		got := law.Timetable(wheel)
		if wheel > time.Duration(got.Rests+1)*law.Day {
			t.Fatalf("%v in %d days", wheel, got.Rests+1)
		}
		if wheel > time.Duration(got.Breaks+got.Rests+1)*law.Stretch {
			t.Fatalf("%v in %d stretches", wheel, got.Breaks+got.Rests+1)
		}
		if more := law.Timetable(wheel + time.Minute); more.Total <= got.Total {
			t.Fatalf("a minute more at the wheel ends no later: %+v, %+v", got, more)
		}
	})
}

// Times that people reckon with, from memory, must lie in the spans.
func TestHours(t *testing.T) {
	tests := []struct {
		from, to   string
		car, truck time.Duration
	}{
		{"Chicago", "Indianapolis", 3 * time.Hour, 210 * time.Minute},
		{"New York", "Boston", 4 * time.Hour, 285 * time.Minute},
		{"London", "Leeds, England", 225 * time.Minute, 270 * time.Minute},
		{"Denver", "Omaha, NE", 8 * time.Hour, 540 * time.Minute},
	}
	for _, test := range tests {
		road := place.RoadKm(find(t, test.from).Point, find(t, test.to).Point)
		if car := place.CarHours(road); car.Low > test.car || car.High < test.car {
			t.Errorf("%s to %s by car: %v, not %v", test.from, test.to, car, test.car)
		}
		if truck := place.TruckHours(road); truck.Low > test.truck || truck.High < test.truck {
			t.Errorf("%s to %s by truck: %v, not %v", test.from, test.to, truck, test.truck)
		}
	}
	if none := place.CarHours(place.Road{}); none != (place.Span{}) {
		t.Errorf("to where one is: %v", none)
	}
}

// Helsinki to Tallinn: two hours to two and a half at sea, from memory, and the
// loading.
func TestShipHours(t *testing.T) {
	land, sea := place.Road{Km: 85, LowKm: 85, HighKm: 85}, place.Road{Km: 85, LowKm: 85, HighKm: 85, ShipKm: 85}
	if at := place.ShipHours(sea); at < 150*time.Minute || at > 4*time.Hour {
		t.Errorf("85 km by ship: %v", at)
	}
	if place.ShipHours(land) != 0 || place.CarHours(sea).Low >= place.CarHours(land).Low {
		t.Errorf("at sea %v on land; at the wheel %v at sea, %v on land", place.ShipHours(land), place.CarHours(sea), place.CarHours(land))
	}
}

func TestLawBetween(t *testing.T) {
	tests := []struct {
		from, to, law string
	}{
		{"Dayton, OH", "Toronto", place.USLaw.Name},
		{"Leeds, England", "Köln", place.EULaw.Name},
		{"Toronto", "Ottawa", ""},
		{"Tokyo", "Fukuoka", ""},
	}
	for _, test := range tests {
		law, known := place.LawBetween(find(t, test.from), find(t, test.to))
		if law.Name != test.law || known != (test.law != "") {
			t.Errorf("%s to %s: %q", test.from, test.to, law.Name)
		}
	}
}
