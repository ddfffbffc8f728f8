package chart

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"heirpress/search/place"
)

func town(t testing.TB, name string) Town {
	t.Helper()
	found, err := place.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return Town{Name: found.Name, Label: found.Label(), Point: found.Point}
}

func example(t testing.TB) Map {
	origin := town(t, "Milwaukee, WI")
	m := Map{Title: "Presses & type near Milwaukee, WI", Origin: &origin, Rings: []float64{50, 150, 300},
		RoadKm: func(p place.Point) float64 { return place.RoadKm(origin.Point, p).Km }}
	for i, name := range []string{"Chicago, IL", "Muskegon, MI", "Dayton, OH", "Green Bay, WI", "Chicago, IL", "Toronto, ON"} {
		m.Marks = append(m.Marks, Mark{Town: town(t, name), Text: "tag A-7 <platen> jobber, fit 87", Fit: float64(95 - 15*i)})
	}
	return m
}

// Set HEIRPRESS_CHART to a file to look at the drawing.
func TestSVG(t *testing.T) {
	var b bytes.Buffer
	if err := SVG(&b, example(t)); err != nil {
		t.Fatal(err)
	}
	if to := os.Getenv("HEIRPRESS_CHART"); to != "" {
		if err := os.WriteFile(to, b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	text := b.String()
	for _, want := range []string{
		`role="img"`, "<title id=\"t\">Presses &amp; type near Milwaukee, WI</title>", "The diamond is Milwaukee, WI.",
		"A map with 6 lots in 5 towns", "A line shows how far 150 miles by road reach.", "1. Chicago, IL: tag A-7 &lt;platen&gt; jobber, fit 87, and 1 more lot",
		"300 mi by road", `class="ring"`, "Natural Earth",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the drawing does not say %q", want)
		}
	}
	wellFormed(t, b.Bytes())
	if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") || strings.Contains(text, "http") && strings.Count(text, "http") != 1 {
		t.Error("the drawing has what is no number, or asks for something from outside")
	}
}

func wellFormed(t interface{ Fatalf(string, ...any) }, b []byte) {
	for d := xml.NewDecoder(bytes.NewReader(b)); ; {
		_, err := d.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
	}
}

func TestNothingToDraw(t *testing.T) {
	if err := SVG(io.Discard, Map{Title: "nothing"}); !errors.Is(err, ErrEmpty) {
		t.Errorf("%v", err)
	}
}

// Whatever towns and texts there are, the drawing is well-formed, and every
// mark lies in it.
func TestAnyMap(t *testing.T) {
	towns := []Town{town(t, "Auckland, New Zealand"), town(t, "Madrid, Spain"), town(t, "Nome, AK"), town(t, "Leeds, England"), town(t, "Suva, Fiji"), town(t, "Dayton, OH")}
	rapid.Check(t, func(t *rapid.T) {
		m := Map{Title: rapid.String().Draw(t, "title"), Rings: []float64{100}, RoadKm: func(place.Point) float64 { return math.Inf(1) }}
		if rapid.Bool().Draw(t, "origin") {
			origin := rapid.SampledFrom(towns).Draw(t, "from")
			m.Origin = &origin
		}
		for range rapid.IntRange(1, 5).Draw(t, "marks") {
			m.Marks = append(m.Marks, Mark{Town: rapid.SampledFrom(towns).Draw(t, "town"), Text: rapid.String().Draw(t, "text"), Fit: rapid.Float64Range(-1, 100).Draw(t, "fit")})
		}
		var b bytes.Buffer
		if err := SVG(&b, m); err != nil {
			t.Fatal(err)
		}
		wellFormed(t, b.Bytes())
		v := viewOf(m)
		for _, s := range spots(m.Marks, v) {
			if s.at.x < 0 || s.at.x > mapWidth || s.at.y < 0 || s.at.y > mapHeight {
				t.Fatalf("%s is drawn at %v", s.town.Name, s.at)
			}
		}
	})
}

// The worked example of Snyder's manual (page 332, spherical form): a sphere of
// radius 3 about 40° N, 100° W; 20° S, 100° E. The figures are from memory.
func TestProjectionOfTheManual(t *testing.T) {
	p := newProjection(place.Point{Lat: 40, Lng: -100}, 3)
	got := p.forward(place.Point{Lat: -20, Lng: 100})
	if math.Abs(got.x+4.2339303) > 1e-6 || math.Abs(got.y-4.0257775) > 1e-6 {
		t.Errorf("%v", got)
	}
}

// The inverse undoes the projection, and near the middle distances are true.
func TestProjection(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		point := func(name string) place.Point {
			return place.Point{Lat: rapid.Float64Range(-85, 85).Draw(t, name), Lng: rapid.Float64Range(-179, 179).Draw(t, name)}
		}
		middle, at := point("middle"), point("at")
		p := newProjection(middle, place.EarthRadiusKm)
		if place.GreatCircleKm(middle, at) > 19_000 {
			return
		}
		plane := p.forward(at)
		back, ok := p.inverse(plane)
		if !ok || place.GreatCircleKm(at, back) > 0.01 {
			t.Fatalf("%v comes back as %v", at, back)
		}
		if km := place.GreatCircleKm(middle, at); km < 500 && math.Abs(math.Hypot(plane.x, plane.y)-km) > 0.001*km+1e-6 {
			t.Fatalf("%v km is drawn as %v", km, math.Hypot(plane.x, plane.y))
		}
	})
}

// A contour lies where the way is as long as it says.
func TestContour(t *testing.T) {
	m := example(t)
	v := viewOf(m)
	straight := func(p place.Point) float64 { return place.GreatCircleKm(m.Origin.Point, p) }
	lines := newGrid(v, straight).contour(150)
	if len(lines) != 1 || len(lines[0]) < 50 || lines[0][0] != lines[0][len(lines[0])-1] {
		t.Fatalf("%d lines, not one ring", len(lines))
	}
	for _, at := range lines[0] {
		p, _ := v.pointAt(at)
		if miles := straight(p) / place.KmPerMile; math.Abs(miles-150) > 1 {
			t.Fatalf("a point of the line is %v miles away", miles)
		}
	}
}
