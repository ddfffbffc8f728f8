package trade

import (
	"fmt"
	"strconv"
	"testing"
	"time"

	pb "heirpress/proto/heirpress/v1"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"
)

// TestUnitsRoundTrip writes a figure in every unit that there is a word for and
// reads it back.
func TestUnitsRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		for word, u := range unitWords {
			n := float64(rapid.IntRange(1, 999_99).Draw(t, "hundredths")) / 100
			text := strconv.FormatFloat(n, 'f', -1, 64) + " " + word
			mm, err := ParseLength(text, Inch)
			if err != nil || !close2(mm/u.Mm(), n, 1e-6*n) {
				t.Fatalf("%q reads as %v mm, %v", text, mm, err)
			}
		}
	})
}

// TestRectangleRoundTrip: what is shown in inches or millimetres is read as it
// was, whatever the units; and inches and millimetres of one size agree.
func TestRectangleRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 1600).Draw(t, "w"), rapid.IntRange(1, 1600).Draw(t, "h")
		in := fmt.Sprintf("%d/16 x %d/16 in", w, h)
		if w > 16 && w%16 != 0 {
			in = fmt.Sprintf("%d %d/16 x %d/16 in", w/16, w%16, h)
		}
		a, err := ParseRectangle(in)
		if err != nil {
			t.Fatalf("%q: %v", in, err)
		}
		b, err := ParseRectangle(fmt.Sprintf("%.4f x %.4f mm", float64(w)*MmPerInch/16, float64(h)*MmPerInch/16))
		if err != nil || !close2(a.GetWidthMm(), b.GetWidthMm(), 1e-6) || !close2(a.GetHeightMm(), b.GetHeightMm(), 1e-6) {
			t.Fatalf("%q is %v, and in mm %v, %v", in, a, b, err)
		}
		back, err := ParseRectangle(FormatRectangle(a, US))
		if err != nil || !close2(back.GetWidthMm(), a.GetWidthMm(), 1e-6) || !close2(back.GetHeightMm(), a.GetHeightMm(), 1e-6) {
			t.Fatalf("sixteenths are shown as they are: %v came back as %v, %v", a, back, err)
		}
	})
}

func TestMassAndRoadRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(10, 200_000).Draw(t, "n")
		for text, per := range map[string]float64{fmt.Sprintf("%d lb", n): KgPerPound, fmt.Sprintf("%d kg", n/3+1): 1} {
			w, err := ParseWeight(text)
			if err != nil || !near(w.GetMassKg(), digits(text[:len(text)-3])*per) {
				t.Fatalf("%q reads as %v, %v", text, w, err)
			}
		}
		km := float64(n%25_000) + 1
		for _, u := range []Units{US, Metric} {
			back, err := ParseRoadKm(FormatRoad(km, u))
			if err != nil || !close2(back, km, 0.81) {
				t.Fatalf("%v km is shown as %q, which reads as %v, %v", km, FormatRoad(km, u), back, err)
			}
		}
	})
}

func TestDateRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		day := time.Date(rapid.IntRange(1, 9999).Draw(t, "year"), 1, rapid.IntRange(1, 366).Draw(t, "day"), 0, 0, 0, 0, time.UTC)
		if day.Year() > 9999 {
			return
		}
		d := &pb.Date{Year: int32(day.Year()), Month: int32(day.Month()), Day: int32(day.Day())}
		for _, text := range []string{FormatDate(d), day.Format("2006-01-02"), day.Format("January 2, 2006"), day.Format("2 Jan 2006")} {
			if back, err := ParseDate(text); err != nil || !proto.Equal(back, d) {
				t.Fatalf("%q reads as %v, %v, want %v", text, back, err, d)
			}
		}
	})
}

func TestWordsRoundTrip(t *testing.T) {
	for _, k := range Kinds() {
		if back, err := ParseKind(KindWord(k)); err != nil || back != k {
			t.Errorf("%v is %q, which reads as %v, %v", k, KindWord(k), back, err)
		}
	}
	for _, c := range Classes() {
		if back, err := ParseClass(ClassWord(c)); err != nil || back != c {
			t.Errorf("%v is %q, which reads as %v, %v", c, ClassWord(c), back, err)
		}
	}
	for n := range pb.LotState_name {
		s := pb.LotState(n)
		back, err := ParseState(StateWord(s))
		if s != pb.LotState_LOT_STATE_UNSPECIFIED && (err != nil || back != s) {
			t.Errorf("%v is %q, which reads as %v, %v", s, StateWord(s), back, err)
		}
	}
	for n := range pb.Condition_name {
		c := pb.Condition(n)
		if back, note := ParseCondition(ConditionWord(c)); back != c || note != "" {
			t.Errorf("%v is %q, which reads as %v, %q", c, ConditionWord(c), back, note)
		}
	}
}

func TestFormat(t *testing.T) {
	for got, want := range map[string]string{
		FormatLength(254, US): "10 in", FormatLength(266.7, US): "10 1/2 in", FormatLength(254, Metric): "254 mm", FormatLength(23.3172, US): "0.918 in", FormatLength(23.3172, Metric): "23.32 mm",
		FormatLength(1200, US): "47.24 in", FormatLength(31750, US): "1,250 in", FormatLength(12.7, US): "1/2 in",
		FormatRectangle(&pb.Rectangle{WidthMm: 254, HeightMm: 381}, US): "10 x 15 in", FormatRectangle(&pb.Rectangle{WidthMm: 254, HeightMm: 381}, Metric): "254 x 381 mm", FormatRectangle(nil, US): "",
		FormatMass(612.3496995, US): "1,350 lb", FormatMass(612.3496995, Metric): "612 kg", FormatMass(2.5*KgPerPound, US): "2.5 lb", FormatMass(0.0625*KgPerPound, US): "0.063 lb",
		FormatMassRange(100, 100.2, Metric): "100 kg", FormatMassRange(100, 200, Metric): "100 to 200 kg",
		FormatRoad(482.8032, US): "300 mi", FormatRoad(482.8032, Metric): "483 km", FormatRoad(8, US): "5 mi", FormatRoad(4.5, Metric): "4.5 km",
		FormatWeight(nil, US): "unknown",
		FormatWeight(weight(612.3496995, 612.3496995, pb.Grounds_GROUNDS_MEASURED), US):                                                                                                    "1,350 lb, weighed",
		FormatWeight(&pb.Weight{MassKg: proto.Float64(500), LowKg: proto.Float64(400), HighKg: proto.Float64(600), Grounds: pb.Grounds_GROUNDS_ESTIMATED, Basis: "platen jobber"}, Metric): "500 kg (400 to 600 kg), estimated (platen jobber)",
		FormatMoney(&pb.Money{CurrencyCode: "USD", Units: 1250, Nanos: 500_000_000}):                                                                                                       "$1,250.50",
		FormatMoney(&pb.Money{CurrencyCode: "GBP", Units: 1_234_567}):                                                                                                                      "£1,234,567",
		FormatMoney(&pb.Money{CurrencyCode: "SEK", Units: 300, Nanos: 1}):                                                                                                                  "SEK 300.000000001", FormatMoney(&pb.Money{CurrencyCode: "EUR"}): "free", FormatMoney(nil): "",
		FormatDate(&pb.Date{Year: 2026, Month: 11, Day: 25}): "25 November 2026", FormatDate(nil): "",
		FormatTypeSize(points1(24, 0, "")): "24 pt", FormatTypeSize(points1(24, pb.PointSystem_POINT_SYSTEM_DIDOT, "")): "24 pt Didot", FormatTypeSize(lines1(12)): "12 line",
		FormatTypeSize(points1(18, 0, "great primer")): "great primer (18 pt)", FormatTypeSize(&pb.TypeSize{OldName: "canon"}): "canon", FormatTypeSize(nil): "",
	} {
		if got != want {
			t.Errorf("shown as %q, want %q", got, want)
		}
	}
}
