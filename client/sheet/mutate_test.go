package sheet

import (
	"bytes"
	"io/fs"
	"math/rand/v2"
	"testing"

	"heirpress/testdata/demo"
)

// pieces are what a mutation puts in: what matters to a table and to measures.
var pieces = []string{
	`"`, `""`, ",", ";", "\t", "\n", "\r\n", "\ufeff", "\x00", "\xff", "=", "'", " ", "½", "×", "10x15", "254x381 mm", "1,350 lb", "~", "612 kg",
	"24pt", "12 line", "$900", "free", "none", "title", "tag", "kind", "size", "weight", "platen jobber", "wood type", "-1", "1e9", "0", "é", "\xe9",
}

// mutated is a short table changed at random in up to four places.
func mutated(chance *rand.Rand, seeds [][]byte) []byte {
	body := bytes.Clone(seeds[chance.IntN(len(seeds))])
	for range 1 + chance.IntN(4) {
		at := chance.IntN(len(body) + 1)
		end := min(at+chance.IntN(12), len(body))
		switch chance.IntN(4) {
		case 0:
			body = append(body[:at:at], body[end:]...)
		case 1:
			body = append(body[:at:at], append([]byte(pieces[chance.IntN(len(pieces))]), body[at:]...)...)
		case 2:
			body = append(body[:at:at], append([]byte(pieces[chance.IntN(len(pieces))]), body[end:]...)...)
		case 3:
			if at < len(body) {
				body[at] = byte(chance.Uint32())
			}
		}
	}
	return body
}

// headsOf are the headings of the demo's tables, each with a few of its rows.
func headsOf(b *testing.B) [][]byte {
	seeds := [][]byte{[]byte("title\nx\n"), []byte("title;weight (kg)\r\n\"a\"\"b\";600\r\n"), []byte("title\tprice\na\t'=1\n")}
	names, err := fs.Glob(demo.FS, "*.csv")
	if err != nil {
		b.Fatal(err)
	}
	for _, n := range names {
		body, err := fs.ReadFile(demo.FS, n)
		if err != nil {
			b.Fatal(err)
		}
		rows := bytes.SplitAfter(body, []byte("\n"))
		for at := 1; at+2 < len(rows); at += 2 {
			seeds = append(seeds, bytes.Join([][]byte{rows[0], rows[at], rows[at+1]}, nil))
		}
	}
	return seeds
}

// BenchmarkReadMutated reads tables that were changed at random, and holds each
// against what FuzzReadCSV holds: a fuzzing without guidance, for great numbers.
func BenchmarkReadMutated(b *testing.B) {
	seeds := headsOf(b)
	b.RunParallel(func(p *testing.PB) {
		chance := rand.New(rand.NewPCG(rand.Uint64(), rand.Uint64()))
		for p.Next() {
			body := mutated(chance, seeds)
			if s, err := Read("x.csv", bytes.NewReader(body)); err == nil {
				rowsHold(b, s, body)
			}
		}
	})
}
