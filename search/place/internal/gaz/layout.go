package gaz

// The file is a magic word, a table of sections, and the sections. Every
// number is an unsigned little-endian integer.
//
//	towns     one record of townSize bytes each, in order of the key of the name
//	names     the towns' names in the same order, in blocks of blockTowns; each
//	          name is (bytes shared with the name before, bytes that follow,
//	          those bytes), and a block begins with nothing shared
//	blocks    where each block of names begins, 3 bytes each
//	regions   strings in threes: country code, short form, full name
//	counties  strings; the first is empty, for "not known"
//	aliases   for each further name, in order of key: (bytes shared with the key
//	          before, bytes that follow, those bytes, the town: 3 bytes, the top
//	          bit set for a principal name), in blocks as the names
//	heads     where each block of aliases begins, 3 bytes each
//	zips      for each 3-digit prefix and one past the last, how many codes come
//	          before it, 2 bytes each; then for each code, in order, its last two
//	          digits in 1 byte and the town in 3
//
// A section of strings that are found by number begins with their count in 2
// bytes and where each begins, in 3; a string is its length in 1 byte and its
// bytes. A town's record is
//
//	latitude    3 bytes: (degrees + 90) × 10 000
//	longitude   3 bytes: (degrees + 180) × 10 000; the top bit marks a place
//	            known only from the post
//	population  3 bytes: 20 bits, and above them 4 bits by which to shift left
//	region      2 bytes
//	county      2 bytes
const (
	magic      = "heirgaz2"
	townSize   = 13
	blockTowns = 16
	zipSize    = 4
	topBit     = 1 << 23
	degree     = 10_000
)

// The sections, in the order of the table.
const (
	secTowns = iota
	secNames
	secBlocks
	secRegions
	secCounties
	secAliases
	secHeads
	secZips
	sections
)

// headerSize is the length of the magic word and the table of sections, each
// where it begins in 4 bytes, and where the last ends.
const headerSize = len(magic) + 4*(sections+1)

// zipPrefixes is how many 3-digit prefixes of a ZIP code there are.
const zipPrefixes = 1000
