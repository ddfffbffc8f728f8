package gaz

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// sample is a small gazetteer with what makes a file awkward: a name that fills
// more than a block, names that share beginnings, and numbers at their limits.
func sample() []Town {
	towns := []Town{
		{Name: "Dayton", Lat: 39.759, Lng: -84.1916, Population: 137644, Country: "US", Short: "OH", RegionName: "Ohio", County: "Montgomery County", ZIPs: []int{45402, 45499}},
		{Name: "Day", Lat: -90, Lng: -180, Country: "US", Short: "MN", RegionName: "Minnesota", Postal: true, ZIPs: []int{0, 99999}},
		{Name: "Köln", Lat: 90, Lng: 180, Population: 24_874_500, Country: "DE", Short: "Nordrhein", RegionName: "Nordrhein",
			Aliases: map[string]bool{"cologne": true, "keulen": false}},
		{Name: "Cologne", Country: "IT", Population: 1<<20 + 1, Aliases: map[string]bool{"keulen": false}},
	}
	for i := range 3 * blockTowns {
		towns = append(towns, Town{Name: "Springfield", Country: "US", Short: "OH", RegionName: "Ohio", Lat: float64(i)})
	}
	return towns
}

func open(t *testing.T, towns []Town) *File {
	t.Helper()
	data, err := Write(towns)
	if err != nil {
		t.Fatal(err)
	}
	f, err := Open(string(data))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestFileHoldsWhatWasWritten(t *testing.T) {
	towns := sample()
	f := open(t, towns)
	if f.Len() != len(towns) {
		t.Fatalf("%d towns of %d", f.Len(), len(towns))
	}
	for _, want := range towns {
		from, to := f.Named(Key(want.Name))
		found := false
		for number := from; number < to; number++ {
			found = found || describe(f, number) == describeTown(want)
		}
		if !found {
			t.Errorf("no %s in towns %d to %d", describeTown(want), from, to)
		}
	}
}

func describe(f *File, number int) string {
	r := f.Record(number)
	country, short, region := f.Region(r.Region)
	return describeTown(Town{
		Name: f.Name(number), Lat: r.Lat, Lng: r.Lng, Population: r.Population, Postal: r.Postal,
		Country: country, Short: short, RegionName: region, County: f.County(r.County),
	})
}

func describeTown(t Town) string {
	// The layout keeps the first 20 bits of a population.
	for shift := 0; shift < 16; shift++ {
		if t.Population>>shift < 1<<20 {
			t.Population = t.Population >> shift << shift
			break
		}
	}
	return fmt.Sprint(t.Name, t.Lat, t.Lng, t.Population, t.Postal, t.Country, t.Short, t.RegionName, t.County)
}

func TestNamed(t *testing.T) {
	f := open(t, sample())
	for key, want := range map[string]int{
		"springfield": 3 * blockTowns, "dayton": 1, "day": 1, "koln": 1, "": 0, "aaa": 0, "zzz": 0, "springfiel": 0, "springfields": 0,
	} {
		if from, to := f.Named(key); to-from != want {
			t.Errorf("Named(%q) is %d to %d, want %d", key, from, to, want)
		}
	}
}

func TestAlias(t *testing.T) {
	f := open(t, sample())
	names := func(key string) (names []string) {
		f.Alias(key, func(town int, principal bool) {
			names = append(names, fmt.Sprint(f.Name(town), principal))
		})
		return names
	}
	for key, want := range map[string][]string{
		"cologne": {"Kölntrue"}, "keulen": {"Colognefalse", "Kölnfalse"}, "": nil, "zzz": nil,
	} {
		if got := names(key); !slices.Equal(got, want) {
			t.Errorf("Alias(%q): %q, want %q", key, got, want)
		}
	}
	var keys []string
	f.Principals(func(key string, town int) { keys = append(keys, key+" "+f.Name(town)) })
	if !slices.Equal(keys, []string{"cologne Köln"}) {
		t.Errorf("principal names %q", keys)
	}
}

func TestZIP(t *testing.T) {
	f := open(t, sample())
	for code, want := range map[int]string{45402: "Dayton", 45499: "Dayton", 0: "Day", 99999: "Day", 45403: "", 45500: "", -1: "", 100_000: ""} {
		got := ""
		if town, ok := f.ZIP(code); ok {
			got = f.Name(town)
		}
		if got != want {
			t.Errorf("ZIP(%05d) is %q, want %q", code, got, want)
		}
	}
}

func TestOrderMakesNoDifference(t *testing.T) {
	towns := sample()
	want, err := Write(towns)
	if err != nil {
		t.Fatal(err)
	}
	shuffle := rand.New(rand.NewPCG(1, 2))
	for range 20 {
		shuffle.Shuffle(len(towns), func(i, j int) { towns[i], towns[j] = towns[j], towns[i] })
		if got, err := Write(towns); err != nil || !bytes.Equal(got, want) {
			t.Fatalf("the towns in another order make other bytes, or %v", err)
		}
	}
}

func TestOpenRefusesDamage(t *testing.T) {
	data, err := Write(sample())
	if err != nil {
		t.Fatal(err)
	}
	badTable := slices.Clone(data)
	badTable[len(magic)+7] = 0xff
	for name, damaged := range map[string]string{
		"empty": "", "short": string(data[:headerSize-1]), "cut off": string(data[:len(data)-1]),
		"another file": "not" + string(data[3:]), "bad table": string(badTable),
	} {
		if _, err := Open(damaged); !errors.Is(err, ErrFormat) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestPopulationsKeepTwentyBits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		people := rapid.IntRange(0, 1<<34).Draw(t, "people")
		packed := packPopulation(people)
		got := unpackPopulation(packed)
		if packed >= 1<<24 || got > people || float64(people-got) > math.Ldexp(float64(people), -19) {
			t.Fatalf("%d people became %d", people, got)
		}
	})
}

func TestWriteRefusesWhatDoesNotFit(t *testing.T) {
	if _, err := Write([]Town{{Name: string(make([]byte, 300))}}); err == nil {
		t.Error("a name of 300 bytes was written")
	}
}
