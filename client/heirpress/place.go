package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"heirpress/client"
	"heirpress/search/notice"
	"heirpress/search/place"
	"heirpress/search/trade"
)

func (a *app) place() *cobra.Command {
	var source bool
	c := &cobra.Command{
		Use:   "place TOWN [TOWN]",
		Short: "look a town up; road miles between two",
		Long: `Look a town up as it is understood everywhere here, and the way between two. A
town is written with its state or country, or as a ZIP code or coordinates.
Coordinates stand for the town nearest to them. Ways by road are estimates, unless the
server that --server names has a routing service.`,
		Example: `  heirpress place "Dayton, OH"
  heirpress place 45402 "Pittsburgh, PA"
  heirpress place --about`,
		Args: func(c *cobra.Command, args []string) error {
			if source {
				return noWords(c, args)
			}
			return words(1, 2, "one town, or two; put a town of several words in quotes")(c, args)
		},
		RunE: func(c *cobra.Command, towns []string) error {
			if source {
				a.printf("%s\n", place.Attribution)
				return nil
			}
			return a.places(c.Context(), towns)
		},
	}
	c.Flags().BoolVar(&source, "about", false, "say where the gazetteer comes from")
	return c
}

func (a *app) places(ctx context.Context, texts []string) error {
	var towns []place.Town
	for _, text := range texts {
		t, err := place.Find(text)
		if err != nil {
			return a.notPlaced(err)
		}
		if place.IsCoordinates(text) {
			a.note("Coordinates stand for the town nearest to them.")
		}
		towns = append(towns, t)
	}
	if len(towns) == 2 && a.options.Server != "" {
		return a.with(ctx, func(conn *client.Client) error {
			return a.printPlaces(towns, func() place.Journey { return conn.Journey(ctx, towns[0], towns[1]) })
		})
	}
	return a.printPlaces(towns, func() place.Journey { return place.JourneyBetween(towns[0], towns[1]) })
}

// printPlaces shows one town, or two and the journey between them.
func (a *app) printPlaces(towns []place.Town, journey func() place.Journey) error {
	if a.json {
		return a.placesJSON(towns, journey)
	}
	for _, t := range towns {
		a.printf("%s\n  %.4f, %.4f%s\n", t.LongLabel(), t.Point.Lat, t.Point.Lng, population(t))
	}
	if len(towns) == 2 {
		a.printf("%s\n", a.way(journey()))
	}
	return nil
}

// notPlaced tells a town that there is not from a text that is not clear.
func (a *app) notPlaced(err error) error {
	if unknown := new(place.UnknownError); errors.As(err, &unknown) {
		a.note("%s", err)
		return errNothing
	}
	return &usageError{message: err.Error()}
}

func population(t place.Town) string {
	if t.Population == 0 {
		return ""
	}
	return "; population " + grouped(t.Population)
}

// grouped writes a whole number with commas: 140,407.
func grouped(n int) string {
	digits := fmt.Sprint(n)
	for i := len(digits) - 3; i > 0; i -= 3 {
		digits = digits[:i] + "," + digits[i:]
	}
	return digits
}

func (a *app) way(j place.Journey) string {
	straight := place.GreatCircleKm(j.From.Point, j.To.Point)
	u := a.unitSystem()
	length := func(km float64) string { return trade.FormatRoad(km, u) }
	if j.Road.None {
		return "no road between them; " + length(straight) + " in a straight line"
	}
	lines := append([]string{notice.Road(&j.Road, u) + "; " + length(straight) + " in a straight line"}, j.Lines(length)...)
	return strings.Join(lines, "\n")
}

type placeLine struct {
	Label      string  `json:"label"`
	LongLabel  string  `json:"longLabel"`
	Name       string  `json:"name"`
	Region     string  `json:"region,omitempty"`
	County     string  `json:"county,omitempty"`
	Country    string  `json:"countryCode"`
	Latitude   float64 `json:"latitude"`
	Longitude  float64 `json:"longitude"`
	Population int     `json:"population,omitempty"`
}

type wayLine struct {
	RoadMiles     float64 `json:"roadMiles"`
	RoadMilesLow  float64 `json:"roadMilesLow"`
	RoadMilesHigh float64 `json:"roadMilesHigh"`
	StraightMiles float64 `json:"straightMiles"`
	NoRoad        bool    `json:"noRoad,omitempty"`
	// Routed is true where the registry's routing service has found the length.
	Routed bool `json:"routed,omitempty"`
	// FerryMiles is how much of the way is by car ferry.
	FerryMiles float64 `json:"ferryMiles,omitempty"`
	// FerryHours are on board; the others at the wheel, of a car and of a loaded
	// truck. The last two are the truck's with the breaks of the law that is named.
	FerryHours     float64 `json:"ferryHours,omitempty"`
	CarHoursLow    float64 `json:"carHoursLow,omitempty"`
	CarHoursHigh   float64 `json:"carHoursHigh,omitempty"`
	TruckHoursLow  float64 `json:"truckHoursLow,omitempty"`
	TruckHoursHigh float64 `json:"truckHoursHigh,omitempty"`
	Law            string  `json:"law,omitempty"`
	WithBreaksLow  float64 `json:"withBreaksLow,omitempty"`
	WithBreaksHigh float64 `json:"withBreaksHigh,omitempty"`
	// Border is the customs border that is crossed, from where into where.
	Border string `json:"border,omitempty"`
}

func (a *app) placesJSON(towns []place.Town, journey func() place.Journey) error {
	for _, t := range towns {
		err := a.printLine(placeLine{
			Label: t.Label(), LongLabel: t.LongLabel(), Name: t.Name, Region: t.Region, County: t.County, Country: t.Country,
			Latitude: t.Point.Lat, Longitude: t.Point.Lng, Population: t.Population,
		})
		if err != nil {
			return err
		}
	}
	if len(towns) < 2 {
		return nil
	}
	return a.printLine(newWayLine(journey()))
}

func newWayLine(j place.Journey) wayLine {
	r := j.Road
	line := wayLine{
		RoadMiles: r.Km / place.KmPerMile, RoadMilesLow: r.LowKm / place.KmPerMile, RoadMilesHigh: r.HighKm / place.KmPerMile,
		StraightMiles: place.GreatCircleKm(j.From.Point, j.To.Point) / place.KmPerMile, NoRoad: r.None, Routed: r.Routed,
		FerryMiles: r.ShipKm / place.KmPerMile, FerryHours: j.Ship.Hours(), Border: j.Border,
		CarHoursLow: j.Car.Low.Hours(), CarHoursHigh: j.Car.High.Hours(),
		TruckHoursLow: j.Truck.Low.Hours(), TruckHoursHigh: j.Truck.High.Hours(),
	}
	if j.Law != nil {
		line.Law = j.Law.Name
		line.WithBreaksLow, line.WithBreaksHigh = j.Low.Total.Hours(), j.High.Total.Hours()
	}
	return line
}
