package gaz

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"math"
	"math/bits"
	"slices"
)

// Town is a place to be written.
type Town struct {
	Name              string
	Lat, Lng          float64
	Population        int
	Country           string // ISO 3166-1 alpha-2
	Short, RegionName string
	County            string
	Postal            bool
	// Aliases are further names, by key; true marks a principal one.
	Aliases map[string]bool
	// ZIPs are the five-digit codes that the post delivers to the town.
	ZIPs []int
}

// Write lays towns out as a gazetteer file. The order they come in makes no
// difference to the bytes.
func Write(towns []Town) ([]byte, error) {
	w := writer{towns: slices.Clone(towns)}
	slices.SortFunc(w.towns, order)
	w.index()
	var parts [sections][]byte
	parts[secTowns] = w.records()
	parts[secNames], parts[secBlocks] = w.names()
	parts[secRegions] = w.regions.pack()
	parts[secCounties] = w.counties.pack()
	parts[secAliases], parts[secHeads] = w.aliases()
	parts[secZips] = w.zips()
	return assemble(parts), w.err
}

type writer struct {
	towns             []Town
	regions, counties table
	err               error
}

// order sorts by key, and then by everything that tells two towns apart, so
// that the outcome does not hang on the order of the sources.
func order(a, b Town) int {
	return cmp.Or(
		cmp.Compare(Key(a.Name), Key(b.Name)),
		cmp.Compare(a.Country, b.Country),
		cmp.Compare(a.RegionName, b.RegionName),
		cmp.Compare(a.County, b.County),
		cmp.Compare(b.Population, a.Population),
		cmp.Compare(a.Lat, b.Lat),
		cmp.Compare(a.Lng, b.Lng),
		cmp.Compare(a.Name, b.Name),
	)
}

// index numbers the regions and counties in sorted order.
func (w *writer) index() {
	w.regions = newTable(3)
	w.counties = newTable(1)
	w.counties.add("")
	for _, t := range w.towns {
		w.regions.add(t.Country, t.Short, t.RegionName)
		w.counties.add(t.County)
	}
	w.regions.sort()
	w.counties.sort()
}

func (w *writer) records() []byte {
	var out []byte
	for _, t := range w.towns {
		lng := int(math.Round((t.Lng + 180) * degree))
		if t.Postal {
			lng |= topBit
		}
		out = append3(out, int(math.Round((t.Lat+90)*degree)))
		out = append3(out, lng)
		out = append3(out, packPopulation(t.Population))
		out = binary.LittleEndian.AppendUint16(out, uint16(w.regions.of(t.Country, t.Short, t.RegionName)))
		out = binary.LittleEndian.AppendUint16(out, uint16(w.counties.of(t.County)))
	}
	w.limit("towns", len(w.towns), topBit)
	return out
}

func packPopulation(n int) int {
	shift := max(0, bits.Len(uint(n))-20)
	return shift<<20 | n>>shift
}

func (w *writer) names() (names, blocks []byte) {
	before := ""
	for i, t := range w.towns {
		if i%blockTowns == 0 {
			blocks = append3(blocks, len(names))
			before = ""
		}
		shared := sharedPrefix(before, t.Name)
		names = append(names, byte(shared))
		names = appendString(names, t.Name[shared:])
		before = t.Name
		w.limit("bytes in a name", len(t.Name), 256)
	}
	w.limit("bytes of names", len(names), 1<<24)
	return names, blocks
}

func sharedPrefix(a, b string) int {
	n := 0
	for n < min(len(a), len(b)) && a[n] == b[n] {
		n++
	}
	return n
}

// alias is a further name and its town, with the top bit of a principal name.
type alias struct {
	key  string
	town int
}

func (w *writer) aliases() (aliases, heads []byte) {
	before := ""
	for i, a := range w.sortedAliases() {
		if i%blockTowns == 0 {
			heads = append3(heads, len(aliases))
			before = ""
		}
		shared := sharedPrefix(before, a.key)
		aliases = append(aliases, byte(shared))
		aliases = append3(appendString(aliases, a.key[shared:]), a.town)
		before = a.key
		w.limit("bytes in a further name", len(a.key), 256)
	}
	w.limit("bytes of further names", len(aliases), 1<<24)
	return aliases, heads
}

func (w *writer) sortedAliases() []alias {
	var all []alias
	for i, t := range w.towns {
		for key, principal := range t.Aliases {
			town := i
			if principal {
				town |= topBit
			}
			all = append(all, alias{key, town})
		}
	}
	slices.SortFunc(all, func(a, b alias) int {
		return cmp.Or(cmp.Compare(a.key, b.key), cmp.Compare(a.town, b.town))
	})
	return all
}

func (w *writer) zips() []byte {
	town := map[int]int{}
	for i, t := range w.towns {
		for _, code := range t.ZIPs {
			town[code] = i
		}
	}
	var prefixes, codes []byte
	n := 0
	for code := range zipPrefixes * 100 {
		if code%100 == 0 {
			prefixes = binary.LittleEndian.AppendUint16(prefixes, uint16(n))
		}
		if t, ok := town[code]; ok {
			codes = append3(append(codes, byte(code%100)), t)
			n++
		}
	}
	w.limit("ZIP codes", n, 1<<16)
	return append(binary.LittleEndian.AppendUint16(prefixes, uint16(n)), codes...)
}

// limit notes that there are too many of something for the layout.
func (w *writer) limit(what string, n, limit int) {
	if n >= limit && w.err == nil {
		w.err = fmt.Errorf("gaz: %d %s, where the layout has room for fewer than %d", n, what, limit)
	}
}

func assemble(parts [sections][]byte) []byte {
	out := []byte(magic)
	at := headerSize
	for _, part := range parts {
		out = binary.LittleEndian.AppendUint32(out, uint32(at))
		at += len(part)
	}
	out = binary.LittleEndian.AppendUint32(out, uint32(at))
	for _, part := range parts {
		out = append(out, part...)
	}
	return out
}

func append3(out []byte, n int) []byte {
	return append(out, byte(n), byte(n>>8), byte(n>>16))
}

func appendString(out []byte, s string) []byte {
	return append(append(out, byte(len(s))), s...)
}
