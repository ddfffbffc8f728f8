package trade

import (
	"math"
	"regexp"
	"strconv"
	"testing"

	pb "heirpress/proto/heirpress/v1"

	"google.golang.org/protobuf/proto"
)

func seed(f *testing.F, texts ...string) {
	for _, t := range texts {
		f.Add(t)
	}
}

// close2 tells whether two figures agree within an absolute slack.
func close2(a, b, slack float64) bool { return math.Abs(a-b) <= slack }

// lengthSlack is how far FormatLength may round, in millimetres.
func lengthSlack(u Units) float64 {
	if u == Metric {
		return 0.0501
	}
	return 0.0101 * MmPerInch
}

func FuzzParseLength(f *testing.F) {
	seed(f, "10 in", `10"`, "254mm", "25.4 cm", "2 ft", "2' 6\"", "10 1/2 in", "6½\"", "60 picas", "24 pt Didot", "1,200 mm", "5'6", "10", ".918", "25,4 cm", "10-1/2 in", "１０ in", "1/0 in")
	f.Fuzz(lengthHolds)
}

func lengthHolds(t *testing.T, text string) {
	mm, err := ParseLength(text, Inch)
	asMm, errMm := ParseLength(text, Millimetre)
	if err != nil {
		if mm != 0 {
			t.Fatalf("%q: %v with an error", text, mm)
		}
		return
	}
	if !(mm > 0 && mm <= 1e6) {
		t.Fatalf("%q reads as %v mm", text, mm)
	}
	// A text either names its unit, and then the default does not matter, or
	// it is a bare number, and then the default is all.
	if errMm == nil && asMm != mm && !close2(mm, asMm*MmPerInch, 1e-6*mm+1e-6) {
		t.Fatalf("%q is %v mm in inches and %v in millimetres", text, mm, asMm)
	}
	if mm > 1e5 || mm < 0.1 {
		return
	}
	for _, u := range []Units{US, Metric} {
		shown := FormatLength(mm, u)
		back, err := ParseLength(shown, Cicero)
		if err != nil || !close2(back, mm, lengthSlack(u)) || FormatLength(back, u) != shown {
			t.Fatalf("%q is %v mm, shown as %q, which reads as %v, %v", text, mm, shown, back, err)
		}
	}
}

var bareRectangleRE = regexp.MustCompile(`^ *(\d{1,3}) *[xX×] *(\d{1,3}) *$`)

func FuzzParseRectangle(f *testing.F) {
	seed(f, "10x15", "10 × 15 in", "254x381 mm", "10 by 15", "6½x10", "6 1/2 x 10", `10" x 15"`, `10" x 15`, "10inx15in", "2 ft x 6", "254x381", "10x15x2", "10xx15", "24 in x 1 m", "10x15mm", "1,200x900 mm")
	f.Fuzz(rectangleHolds)
}

func rectangleHolds(t *testing.T, text string) {
	r, err := ParseRectangle(text)
	if err != nil {
		if r != nil {
			t.Fatalf("%q: %v with an error", text, r)
		}
		return
	}
	for _, side := range []float64{r.GetWidthMm(), r.GetHeightMm()} {
		if !(side > 0 && side <= 10_000) {
			t.Fatalf("%q reads as %v", text, r)
		}
	}
	// A bare 10x15 is inches, and never anything else.
	if m := bareRectangleRE.FindStringSubmatch(text); m != nil {
		w, _ := strconv.Atoi(m[1])
		h, _ := strconv.Atoi(m[2])
		if !close2(r.GetWidthMm(), float64(w)*MmPerInch, 1e-6) || !close2(r.GetHeightMm(), float64(h)*MmPerInch, 1e-6) {
			t.Fatalf("%q reads as %v", text, r)
		}
	}
	if min(r.GetWidthMm(), r.GetHeightMm()) < 1 {
		return
	}
	for _, u := range []Units{US, Metric} {
		shown := FormatRectangle(r, u)
		back, err := ParseRectangle(shown)
		if err != nil || !close2(back.GetWidthMm(), r.GetWidthMm(), lengthSlack(u)) || !close2(back.GetHeightMm(), r.GetHeightMm(), lengthSlack(u)) {
			t.Fatalf("%q is %v, shown as %q, which reads as %v, %v", text, r, shown, back, err)
		}
	}
}

// massSlackKg is how far FormatMass may round, in kilograms.
func massSlackKg(kg float64, u Units) float64 {
	per := 1.0
	if u == US {
		per = KgPerPound
	}
	switch v := kg / per; {
	case v < 1:
		return 0.000501 * per
	case v < 10:
		return 0.0501 * per
	}
	return 0.501 * per
}

func FuzzParseWeight(f *testing.F) {
	seed(f, "1350", "1,350 lb", "612 kg", "1200-1500 lb", "~1,350 lb", "weighed 1350 lb", "1/2 ton", "3 cwt", "3 cwt 2 qr 4 lb", "12 st 4 lb", "1350#", "60 lb each", "2 long tons", "1500-1200", "1350 lb, weighed", "1 t", "between 1200 and 1500 lb", "500 g - 1 kg")
	f.Fuzz(weightHolds)
}

func weightHolds(t *testing.T, text string) {
	w, err := ParseWeight(text)
	if err != nil {
		if w != nil {
			t.Fatalf("%q: %v with an error", text, w)
		}
		return
	}
	e := saidWeight(w)
	if !e.Known || e.HighKg > heaviestKg || (w.MassKg == nil) == (w.LowKg == nil) || (w.LowKg == nil) != (w.HighKg == nil) {
		t.Fatalf("%q reads as %v", text, w)
	}
	if w.GetGrounds() != pb.Grounds_GROUNDS_STATED && w.GetGrounds() != pb.Grounds_GROUNDS_MEASURED {
		t.Fatalf("%q has the grounds %v", text, w.GetGrounds())
	}
	if e.LowKg < 0.01 || e.HighKg > 99_999 {
		return
	}
	for _, u := range []Units{US, Metric} {
		shown := FormatWeight(w, u)
		back, err := ParseWeight(shown)
		b := saidWeight(back)
		if err != nil || !close2(b.LowKg, e.LowKg, massSlackKg(e.LowKg, u)) || !close2(b.HighKg, e.HighKg, massSlackKg(e.HighKg, u)) || back.GetGrounds() != w.GetGrounds() {
			t.Fatalf("%q is %v, shown as %q, which reads as %v, %v", text, w, shown, back, err)
		}
	}
}

func FuzzParseTypeSize(f *testing.F) {
	seed(f, "24pt", "24 point", "24 pt Didot", "24 Didot points", "12 line", "12-line", "great primer", "great primer (18 pt)", "canon", "8 cicero", "2 in", "24", "10/12 pt", "5½ pt", "two-line pica", "4-line pica", "12 line pica", "72 pt desktop")
	f.Fuzz(typeSizeHolds)
}

func typeSizeHolds(t *testing.T, text string) {
	size, err := ParseTypeSize(text)
	if err != nil {
		if size != nil {
			t.Fatalf("%q: %v with an error", text, size)
		}
		return
	}
	if size.Points != nil && !(size.GetPoints() > 0 && size.GetPoints() <= largestBodyPt) ||
		size.Lines != nil && !(size.GetLines() > 0 && size.GetLines() <= largestBodyLines) ||
		size.Points != nil && size.Lines != nil || size.GetSystem() != 0 && size.Points == nil {
		t.Fatalf("%q reads as %v", text, size)
	}
	if low, high := BodyMm(size); !(low > 0 && low <= high) {
		t.Fatalf("%q has a body of %v to %v mm", text, low, high)
	}
	shown := FormatTypeSize(size)
	back, err := ParseTypeSize(shown)
	if size.GetPoints()+size.GetLines() < 0.001 && size.GetOldName() == "" {
		return
	}
	if err != nil || !sameSize(size, back) {
		t.Fatalf("%q is %v, shown as %q, which reads as %v, %v", text, size, shown, back, err)
	}
}

// sameSize tells whether two sizes agree to the thousandth that is shown.
func sameSize(a, b *pb.TypeSize) bool {
	return (a.Points == nil) == (b.Points == nil) && (a.Lines == nil) == (b.Lines == nil) &&
		close2(a.GetPoints(), b.GetPoints(), 0.00051) && close2(a.GetLines(), b.GetLines(), 0.00051) &&
		a.GetSystem() == b.GetSystem() && a.GetOldName() == b.GetOldName()
}

func FuzzParseMoney(f *testing.F) {
	seed(f, "900", "$900", "$1,250.50", "USD 900", "£450", "450 GBP", "€300", "free", "900 OBO", "$900 CAD", "1.250,50 €", "0", "0.000000001", "-5", "900-1000", "SEK 3,000", "C$20", "999999999999")
	f.Fuzz(moneyHolds)
}

func moneyHolds(t *testing.T, text string) {
	m, err := ParseMoney(text, "USD")
	if err != nil {
		if m != nil {
			t.Fatalf("%q: %v with an error", text, m)
		}
		return
	}
	if m.GetUnits() < 0 || m.GetNanos() < 0 || m.GetNanos() > 999_999_999 || !isCurrency(m.GetCurrencyCode()) {
		t.Fatalf("%q reads as %v", text, m)
	}
	if m.GetUnits() == 0 && m.GetNanos() == 0 {
		// Nothing is nothing in every currency: it is shown as free.
		return
	}
	shown := FormatMoney(m)
	if back, err := ParseMoney(shown, "USD"); err != nil || !proto.Equal(back, m) {
		t.Fatalf("%q is %v, shown as %q, which reads as %v, %v", text, m, shown, back, err)
	}
}

// FuzzMeasures puts every text to every reader of a measure.
func FuzzMeasures(f *testing.F) {
	seed(f, "10x15", "10 × 15 in", "254x381 mm", "1,350 lb", "612 kg", "1200-1500 lb", "24pt", "12 line", "great primer", "6 1/2 x 10", "2' 6\"", "$1,250.50", "3 cwt", "½ in", "10")
	f.Fuzz(func(t *testing.T, text string) {
		lengthHolds(t, text)
		rectangleHolds(t, text)
		weightHolds(t, text)
		typeSizeHolds(t, text)
		moneyHolds(t, text)
	})
}
