package trade

import (
	"errors"
	"math"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"

	"google.golang.org/protobuf/proto"
)

// refused checks that an error is a *ParseError that quotes the text and says
// what would be right.
func refused(t *testing.T, text string, err error, says string) {
	t.Helper()
	var pe *ParseError
	if !errors.As(err, &pe) {
		t.Errorf("%q: got error %v, want a *ParseError", text, err)
		return
	}
	if pe.Text != text || pe.Fix == "" || !strings.Contains(err.Error(), says) {
		t.Errorf("%q: the error is %q, want it to say %q", text, err, says)
	}
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-9*max(1, math.Abs(b)) }

func TestParseLength(t *testing.T) {
	for text, want := range map[string]float64{
		"10 in": 254, `10"`: 254, "10''": 254, "10”": 254, "254mm": 254, "25.4 cm": 254, "0.254 m": 254, "2 ft": 609.6, "1 yd": 914.4,
		"2' 6\"": 762, "2 ft 6 in": 762, "2ft6": 762, "5’ 6½”": 1676.4 + 12.7, "10 1/2 in": 266.7, "10-1/2 in": 266.7, "6½ in": 165.1, "1/2 in": 12.7,
		"10": 254, ".918": 23.3172, "0.918 in.": 23.3172, "1,200 mm": 1200, "10 Inches": 254,
		"1,200 1/2 in": 1200.5 * 25.4, "60 picas": 60 * PicaMm, "12 lines": 12 * PicaMm, "72 pt": 72 * PointMm, "72 pt Didot": 72 * DidotPointMm, "72 points desktop": MmPerInch, "6 ciceros": 6 * CiceroMm,
	} {
		got, err := ParseLength(text, Inch)
		if err != nil || !near(got, want) {
			t.Errorf("ParseLength(%q) = %v, %v, want %v", text, got, err, want)
		}
	}
	if mm, err := ParseLength("10", Millimetre); err != nil || mm != 10 {
		t.Errorf("a bare number is in the unit asked for: got %v, %v", mm, err)
	}
	if mm, err := ParseLength("10 in", Millimetre); err != nil || mm != 254 {
		t.Errorf("a named unit wins: got %v, %v", mm, err)
	}
}

func TestParseLengthRefuses(t *testing.T) {
	for text, says := range map[string]string{
		"": "write it with a unit", "ten": "write it with a unit", "-3 in": "write it with a unit", "25,4 cm": "write it with a unit",
		"1e5 in": "write it with a unit", "10 in 3": "write it with a unit", "10 x 15": "write it with a unit", "1.2.3 in": "write it with a unit",
		"10 3/2 in": "write it with a unit", "1/0 in": "write it with a unit", "10 furlongs": "write it with a unit", "2 ft 6 mm": "write it with a unit", "2 ft 6 kg": "write it with a unit", "2' 14\"": "write it with a unit",
		"1234567890123456789012345 mm": "write it with a unit", "NaN": "write it with a unit", "0 in": "more than 0", "2 km": "write it with a unit", "1001 m": "at most 1 km",
	} {
		mm, err := ParseLength(text, Inch)
		if mm != 0 {
			t.Errorf("ParseLength(%q) = %v with an error", text, mm)
		}
		refused(t, text, err, says)
	}
}

func TestParseRectangle(t *testing.T) {
	for text, want := range map[string][2]float64{
		"10x15": {254, 381}, "10 × 15 in": {254, 381}, "10 X 15": {254, 381}, "10 by 15": {254, 381}, "10*15": {254, 381}, "254x381 mm": {254, 381},
		"25.4 x 38.1cm": {254, 381}, "6½x10": {165.1, 254}, "6 1/2 x 10": {165.1, 254}, "6-1/2x10": {165.1, 254}, `10" x 15"`: {254, 381}, `10" x 15`: {254, 381},
		"10inx15in": {254, 381}, "254mm x 381": {254, 381}, "2 ft x 36 in": {609.6, 914.4}, "2' 6\" x 3'": {762, 914.4}, "24 in x 1 m": {609.6, 1000}, "1,200x900 mm": {1200, 900},
		"100x50": {2540, 1270},
	} {
		got, err := ParseRectangle(text)
		if err != nil || !near(got.GetWidthMm(), want[0]) || !near(got.GetHeightMm(), want[1]) {
			t.Errorf("ParseRectangle(%q) = %v, %v, want %v", text, got, err, want)
		}
	}
}

func TestParseRectangleRefuses(t *testing.T) {
	for text, says := range map[string]string{
		"": "write it as 10x15", "10": "write it as 10x15", "10x": "write it as 10x15", "10xx15": "write it as 10x15", "10x15x2": "write it as 10x15",
		"10 15": "write it as 10x15", "a4": "write it as 10x15", "10x15 chase": "write it as 10x15", "0x5": "more than 0", "11 m x 2 m": "at most 10 m",
		"254x381": "say which unit", "2 ft x 6": "a unit to every side", "1 m x 500": "a unit to every side",
	} {
		got, err := ParseRectangle(text)
		if got != nil {
			t.Errorf("ParseRectangle(%q) = %v with an error", text, got)
		}
		refused(t, text, err, says)
	}
}

func TestParseSlabAndSize(t *testing.T) {
	slab, thick, err := ParseSlab("24x36x2")
	if err != nil || slab.GetWidthMm() != 609.6 || slab.GetHeightMm() != 914.4 || thick == nil || *thick != 50.8 {
		t.Errorf("ParseSlab = %v, %v, %v", slab, thick, err)
	}
	if _, thick, err := ParseSlab("610x914 mm"); err != nil || thick != nil {
		t.Errorf("a slab without thickness: %v, %v", thick, err)
	}
	_, _, err = ParseSlab("24")
	refused(t, "24", err, "24x36x2")
	size, err := ParseSize("46 x 50 x 54 in")
	if err != nil || size.GetWidthMm() != 1168.4 || size.GetDepthMm() != 1270 || size.GetHeightMm() != 1371.6 {
		t.Errorf("ParseSize = %v, %v", size, err)
	}
	_, err = ParseSize("46x50")
	refused(t, "46x50", err, "width x depth x height")
}

func weight(low, high float64, g pb.Grounds) *pb.Weight {
	if low == high {
		return &pb.Weight{MassKg: &low, Grounds: g}
	}
	return &pb.Weight{LowKg: &low, HighKg: &high, Grounds: g}
}

func TestParseWeight(t *testing.T) {
	const lb, stated, measured = KgPerPound, pb.Grounds_GROUNDS_STATED, pb.Grounds_GROUNDS_MEASURED
	for text, want := range map[string]*pb.Weight{
		"1350": weight(1350*lb, 1350*lb, stated), "1,350 lb": weight(1350*lb, 1350*lb, stated), "1350lbs.": weight(1350*lb, 1350*lb, stated), "1350#": weight(1350*lb, 1350*lb, stated),
		"612 kg": weight(612, 612, stated), "1.5 tonnes": weight(1500, 1500, stated), "1.5t": weight(1500, 1500, stated), "500 g": weight(.5, .5, stated),
		"1200-1500 lb": weight(1200*lb, 1500*lb, stated), "1200 – 1500": weight(1200*lb, 1500*lb, stated), "1200 lb to 1500 lb": weight(1200*lb, 1500*lb, stated),
		"between 1200 and 1500 lb": weight(1200*lb, 1500*lb, stated), "500-600 kg": weight(500, 600, stated),
		"~1,350 lb": weight(1350*lb, 1350*lb, stated), "about 1350 lb": weight(1350*lb, 1350*lb, stated), "approx. 1350": weight(1350*lb, 1350*lb, stated),
		"weighed 1350 lb": weight(1350*lb, 1350*lb, measured), "1350 lb weighed": weight(1350*lb, 1350*lb, measured), "weighed at 612 kg": weight(612, 612, measured), "measured: 612 kg": weight(612, 612, measured), "1350 lb, weighed": weight(1350*lb, 1350*lb, measured), "1350 lb, stated": weight(1350*lb, 1350*lb, stated),
		"1/2 ton": weight(1000*lb, 1120*lb, stated), "1 1/2 tons": weight(3000*lb, 3360*lb, stated), "half-ton": nil, "3 cwt": weight(300*lb, 336*lb, stated),
		"2 short tons": weight(4000*lb, 4000*lb, stated), "2 long tons": weight(4480*lb, 4480*lb, stated), "2 UK tons": weight(4480*lb, 4480*lb, stated), "2 metric tons": weight(2000, 2000, stated),
		"3 cwt 2 qr 4 lb": weight(396*lb, 396*lb, stated), "12 st 4 lb": weight(172*lb, 172*lb, stated), "2 lb 8 oz": weight(2.5*lb, 2.5*lb, stated),
	} {
		got, err := ParseWeight(text)
		if want == nil {
			refused(t, text, err, "write it as")
			continue
		}
		if err != nil || !near(got.GetMassKg(), want.GetMassKg()) || !near(got.GetLowKg(), want.GetLowKg()) || !near(got.GetHighKg(), want.GetHighKg()) || got.GetGrounds() != want.GetGrounds() {
			t.Errorf("ParseWeight(%q) = %v, %v, want %v", text, got, err, want)
		}
	}
}

func TestParseWeightRefuses(t *testing.T) {
	for text, says := range map[string]string{
		"": "write it as 1350 lb", "heavy": "write it as 1350 lb", "-5 lb": "write it as 1350 lb", "1,35 lb": "write it as 1350 lb", "under 500 lb": "write it as 1350 lb",
		"60 lb each": "the whole lot", "60 lb ea.": "the whole lot", "1500-1200": "from less to more", "0": "more than 0", "101 t": "at most 100,000 kg", "1200-": "write it as 1350 lb", "5 lb 3 kg": "write it as 1350 lb",
	} {
		got, err := ParseWeight(text)
		if got != nil {
			t.Errorf("ParseWeight(%q) = %v with an error", text, got)
		}
		refused(t, text, err, says)
	}
}

func TestParseRoadKm(t *testing.T) {
	for text, want := range map[string]float64{"300mi": 482.8032, "300 miles": 482.8032, "300": 482.8032, "480 km": 480, "1,000 kilometres": 1000, "1 mile": 1.609344} {
		if got, err := ParseRoadKm(text); err != nil || !near(got, want) {
			t.Errorf("ParseRoadKm(%q) = %v, %v, want %v", text, got, err, want)
		}
	}
	for text, says := range map[string]string{"": "300 mi", "far": "300 mi", "300m": "300 mi", "3 days": "300 mi", "0": "more than 0", "30000 km": "at most 25,000 km", "-4 mi": "300 mi"} {
		_, err := ParseRoadKm(text)
		refused(t, text, err, says)
	}
}

func TestParseMoney(t *testing.T) {
	for text, want := range map[string]*pb.Money{
		"900": {CurrencyCode: "USD", Units: 900}, "$900": {CurrencyCode: "USD", Units: 900}, "$1,250.50": {CurrencyCode: "USD", Units: 1250, Nanos: 500_000_000},
		"USD 900": {CurrencyCode: "USD", Units: 900}, "$900 USD": {CurrencyCode: "USD", Units: 900}, "$900 CAD": {CurrencyCode: "CAD", Units: 900}, "£450": {CurrencyCode: "GBP", Units: 450}, "450 gbp": {CurrencyCode: "GBP", Units: 450},
		"€300": {CurrencyCode: "EUR", Units: 300}, "300 euros": {CurrencyCode: "EUR", Units: 300}, "C$20": {CurrencyCode: "CAD", Units: 20}, "450 pounds": {CurrencyCode: "GBP", Units: 450},
		"free": {CurrencyCode: "USD"}, "Free to a good home": {CurrencyCode: "USD"}, "0": {CurrencyCode: "USD"},
		"900 OBO": {CurrencyCode: "USD", Units: 900}, "$900 or best offer": {CurrencyCode: "USD", Units: 900}, "SEK 3,000": {CurrencyCode: "SEK", Units: 3000}, "0.000000001": {CurrencyCode: "USD", Nanos: 1},
	} {
		got, err := ParseMoney(text, "USD")
		if err != nil || !proto.Equal(got, want) {
			t.Errorf("ParseMoney(%q) = %v, %v, want %v", text, got, err, want)
		}
	}
	for _, c := range []struct{ text, def, want string }{{"$5", "CAD", "CAD"}, {"$5", "GBP", "USD"}, {"5", "eur", "EUR"}, {"5 dollars", "AUD", "AUD"}} {
		if got, err := ParseMoney(c.text, c.def); err != nil || got.GetCurrencyCode() != c.want {
			t.Errorf("ParseMoney(%q, %q) = %v, %v, want %s", c.text, c.def, got, err, c.want)
		}
	}
}

func TestParseMoneyRefuses(t *testing.T) {
	for text, says := range map[string]string{
		"": "leave it out", "ask": "leave it out", "-5": "never negative", "900-1000": "one price", "900 to 1000": "one price", "¥300": "three letters", "XYZ 3": "three letters", "kr 40": "three letters",
		"1.250,50 €": "1,250.50", "1,50": "1,250.50", "1.0000000001": "1,250.50", "1234567890123": "1,250.50", "£5 USD": "three letters", "999,999,999,999,999": "too much",
	} {
		got, err := ParseMoney(text, "USD")
		if got != nil {
			t.Errorf("ParseMoney(%q) = %v with an error", text, got)
		}
		refused(t, text, err, says)
	}
	_, err := ParseMoney("5", "dollars")
	refused(t, "DOLLARS", err, "three letters")
}

func TestParseDate(t *testing.T) {
	want := &pb.Date{Year: 2026, Month: 11, Day: 25}
	for _, text := range []string{"2026-11-25", "2026/11/25", "25 Nov 2026", "25 November 2026", "25-Nov-2026", "25th of November, 2026", "November 25, 2026", "Nov. 25th 2026", "25/11/2026", "11/25/2026", "25.11.2026"} {
		if got, err := ParseDate(text); err != nil || !proto.Equal(got, want) {
			t.Errorf("ParseDate(%q) = %v, %v", text, got, err)
		}
	}
	if got, err := ParseDate("4/4/2026"); err != nil || got.GetMonth() != 4 {
		t.Errorf("both readings of 4/4/2026 are one day: %v, %v", got, err)
	}
	for text, says := range map[string]string{
		"3/4/2026": "3 April 2026 or 4 March 2026", "": "2026-11-25", "soon": "2026-11-25", "31 Feb 2026": "2026-11-25", "2026-13-01": "2026-11-25", "13/13/2026": "2026-11-25",
		"25 No 2026": "2026-11-25", "25 Nov 26": "2026-11-25", "0000-01-01": "2026-11-25", "29 Feb 2027": "2026-11-25",
	} {
		got, err := ParseDate(text)
		if got != nil {
			t.Errorf("ParseDate(%q) = %v with an error", text, got)
		}
		refused(t, text, err, says)
	}
}

func points1(n float64, s pb.PointSystem, name string) *pb.TypeSize {
	return &pb.TypeSize{Points: &n, System: s, OldName: name}
}

func lines1(n float64) *pb.TypeSize { return &pb.TypeSize{Lines: &n} }

func TestParseTypeSize(t *testing.T) {
	const none, didot = pb.PointSystem_POINT_SYSTEM_UNSPECIFIED, pb.PointSystem_POINT_SYSTEM_DIDOT
	for text, want := range map[string]*pb.TypeSize{
		"24pt": points1(24, none, ""), "24 point": points1(24, none, ""), "24-point": points1(24, none, ""), "24-pt.": points1(24, none, ""), "5 1/2 pt": points1(5.5, none, ""), "5½ pt": points1(5.5, none, ""),
		"24 pt Didot": points1(24, didot, ""), "24 Didot points": points1(24, didot, ""), "8 cicero": points1(96, didot, ""),
		"24 pt American": points1(24, pb.PointSystem_POINT_SYSTEM_AMERICAN, ""), "24 pt desktop": points1(24, pb.PointSystem_POINT_SYSTEM_DESKTOP, ""),
		"12 line": lines1(12), "12-line": lines1(12), "12 ln": lines1(12), "12 line pica": lines1(12), "6 picas": lines1(6), "2 in": lines1(12), `3.32"`: lines1(20), "253 mm": lines1(60),
		"great primer": points1(18, none, "great primer"), "Great-Primer": points1(18, none, "great primer"), "great primer (18 pt)": points1(18, none, "great primer"), "2-line pica": points1(24, none, "two-line pica"), "four line pica": points1(48, none, "four-line pica"),
		"canon": {OldName: "canon"},
	} {
		got, err := ParseTypeSize(text)
		if err != nil || !proto.Equal(got, want) {
			t.Errorf("ParseTypeSize(%q) = %v, %v, want %v", text, got, err, want)
		}
	}
}

func TestParseTypeSizeRefuses(t *testing.T) {
	for text, says := range map[string]string{
		"": "24pt", "24": "points or lines", "big": "24pt", "10/12 pt": "without the leading", "6pt-72pt": "24pt", "0 pt": "24pt", "1300 pt": "1200 points", "101 line": "100 lines",
		"10 in": "write 60 line", "0.05 in": "write 1 line", "24 kg": "24pt", "great primer (12 pt)": "24pt", "-3 pt": "24pt",
	} {
		got, err := ParseTypeSize(text)
		if got != nil {
			t.Errorf("ParseTypeSize(%q) = %v with an error", text, got)
		}
		refused(t, text, err, says)
	}
}

func TestParseScheme(t *testing.T) {
	for text, want := range map[string]Scheme{"25A 50a": {25, 50, 0}, "8A10a": {8, 10, 0}, "3A": {Caps: 3}, "12a": {Lower: 12}, "25A 50a 10-1": {25, 50, 10}, "25A, 50a, 10-1": {25, 50, 10}} {
		got, err := ParseScheme(text)
		if err != nil || got != want {
			t.Errorf("ParseScheme(%q) = %v, %v, want %v", text, got, err, want)
		}
		if back, err := ParseScheme(got.String()); err != nil || back != want {
			t.Errorf("%q is shown as %q, which reads as %v, %v", text, got, back, err)
		}
	}
	for _, text := range []string{"", "A", "25", "10-1", "0A", "25A 50a extra", "1000A"} {
		_, err := ParseScheme(text)
		refused(t, text, err, "25A 50a")
	}
}
