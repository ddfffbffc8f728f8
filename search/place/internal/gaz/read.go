package gaz

import (
	"errors"
	"sort"
)

// ErrFormat says that the bytes are not a gazetteer that this program reads.
var ErrFormat = errors.New("gaz: not a gazetteer file of this version")

// File is an open gazetteer. Towns are numbered from 0 in order of their keys.
// A File never changes and may be used by many at once.
type File struct {
	part [sections]string
}

// Record is a town's numbers. Degrees are WGS 84, to four places (11 metres).
// A population of 0 is one that is not known.
type Record struct {
	Lat, Lng       float64
	Population     int
	Region, County int
	// Postal marks a place known only from the post: it has a ZIP code, but the
	// gazetteer proper does not list it.
	Postal bool
}

// Open checks the header of a gazetteer and finds its sections. It reads no
// more than that.
func Open(data string) (*File, error) {
	if len(data) < headerSize || data[:len(magic)] != magic {
		return nil, ErrFormat
	}
	f := new(File)
	for i := range f.part {
		at := len(magic) + 4*i
		begin, end := number(data[at:], 4), number(data[at+4:], 4)
		if begin < headerSize || begin > end || end > len(data) {
			return nil, ErrFormat
		}
		f.part[i] = data[begin:end]
	}
	return f, nil
}

// number decodes the little-endian number in the first size bytes of s.
func number(s string, size int) int {
	n := 0
	for i := size - 1; i >= 0; i-- {
		n = n<<8 | int(s[i])
	}
	return n
}

// Len is the number of towns.
func (f *File) Len() int { return len(f.part[secTowns]) / townSize }

// Record is the record of a town.
func (f *File) Record(town int) Record {
	s := f.part[secTowns][town*townSize:]
	lat, lng := f.Position(town)
	return Record{
		Lat:        lat,
		Lng:        lng,
		Postal:     number(s[3:], 3)&topBit != 0,
		Population: unpackPopulation(number(s[6:], 3)),
		Region:     number(s[9:], 2),
		County:     number(s[11:], 2),
	}
}

// Position is where a town is, without the rest of its record.
func (f *File) Position(town int) (lat, lng float64) {
	s := f.part[secTowns][town*townSize:]
	return float64(number(s, 3)-90*degree) / degree, float64(number(s[3:], 3)&^topBit-180*degree) / degree
}

// RegionOf is the region of a town, without the rest of its record.
func (f *File) RegionOf(town int) int {
	return number(f.part[secTowns][town*townSize+9:], 2)
}

func unpackPopulation(n int) int { return n & (1<<20 - 1) << (n >> 20) }

// Region is a region's country code (ISO 3166-1 alpha-2), its short form and
// its full name. A country's towns of no known region share one of empty name.
func (f *File) Region(region int) (country, short, name string) {
	s := f.part[secRegions]
	return stringAt(s, 3*region), stringAt(s, 3*region+1), stringAt(s, 3*region+2)
}

// Regions is the number of regions.
func (f *File) Regions() int { return number(f.part[secRegions], 2) / 3 }

// County is the name of a county; that of county 0 is empty.
func (f *File) County(county int) string { return stringAt(f.part[secCounties], county) }

func stringAt(s string, i int) string {
	return prefixed(s[number(s[2+3*i:], 3):])
}

func prefixed(s string) string { return s[1 : 1+int(s[0])] }

// Alias calls yield for each town that has key among its further names, and
// tells whether it is a principal name: one as good as that on the town's sign.
func (f *File) Alias(key string, yield func(town int, principal bool)) {
	blocks := len(f.part[secHeads]) / 3
	// The key may come first in the block before the first that begins with it.
	block := sort.Search(blocks, func(i int) bool {
		return prefixed(f.part[secAliases][f.aliasesAt(i)+1:]) >= key
	})
	f.scanAliases(max(block-1, 0), func(found []byte, town int, principal bool) bool {
		if string(found) == key {
			yield(town, principal)
		}
		return string(found) <= key
	})
}

// Principals calls yield for every principal further name and its town.
func (f *File) Principals(yield func(key string, town int)) {
	f.scanAliases(0, func(key []byte, town int, principal bool) bool {
		if principal {
			yield(string(key), town)
		}
		return true
	})
}

func (f *File) aliasesAt(block int) int { return number(f.part[secHeads][3*block:], 3) }

// scanAliases decodes the further names from a block on, in order, until visit
// says to stop. The key is only lent.
func (f *File) scanAliases(block int, visit func(key []byte, town int, principal bool) bool) {
	if len(f.part[secHeads]) == 0 {
		return
	}
	var key []byte
	for s := f.part[secAliases][f.aliasesAt(block):]; len(s) > 0; {
		key = append(key[:s[0]], prefixed(s[1:])...)
		s = s[2+int(s[1]):]
		town := number(s, 3)
		s = s[3:]
		if !visit(key, town&^topBit, town&topBit != 0) {
			return
		}
	}
}

// ZIP is the town of a five-digit ZIP code.
func (f *File) ZIP(code int) (town int, ok bool) {
	if code < 0 || code > 99999 {
		return 0, false
	}
	s := f.part[secZips]
	prefix := s[2*(code/100):]
	codes := s[2*(zipPrefixes+1):]
	lo, hi := number(prefix, 2), number(prefix[2:], 2)
	at := lo + sort.Search(hi-lo, func(i int) bool { return int(codes[(lo+i)*zipSize]) >= code%100 })
	if at == hi || int(codes[at*zipSize]) != code%100 {
		return 0, false
	}
	return number(codes[at*zipSize+1:], 3), true
}
