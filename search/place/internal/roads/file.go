package roads

import (
	"encoding/binary"
	"errors"
	"math"
)

// ErrFormat says that the bytes are not a graph that this program reads.
var ErrFormat = errors.New("roads: not a graph of this version")

// The file is a magic word and numbers, as encoding/binary's varints: how many
// nodes and edges there are; for each node the steps of latitude and longitude,
// in ten-thousandths of a degree, from the node before; for each edge its first
// node less that of the edge before, its second node less its first, and its
// length in metres with the class in the lowest two bits.
const (
	magic  = "heirway1"
	degree = 10_000
)

// Write lays a graph out as a file. Edges must be in order of A.
func Write(lat, lng []float64, edges []Edge) []byte {
	out := []byte(magic)
	out = binary.AppendUvarint(out, uint64(len(lat)))
	out = binary.AppendUvarint(out, uint64(len(edges)))
	var y, x int64
	for i := range lat {
		ny, nx := int64(math.Round(lat[i]*degree)), int64(math.Round(lng[i]*degree))
		out = binary.AppendVarint(out, ny-y)
		out = binary.AppendVarint(out, nx-x)
		y, x = ny, nx
	}
	a := 0
	for _, e := range edges {
		out = binary.AppendUvarint(out, uint64(e.A-a))
		out = binary.AppendUvarint(out, uint64(e.B-e.A))
		out = binary.AppendUvarint(out, uint64(e.Metres)<<classBits|uint64(e.Class))
		a = e.A
	}
	return out
}

// Read makes a graph of a file.
func Read(data []byte) (*Graph, error) {
	if len(data) < len(magic) || string(data[:len(magic)]) != magic {
		return nil, ErrFormat
	}
	r := reader{data: data[len(magic):]}
	nodes, count := r.count(2), r.count(3)
	lat, lng := make([]float64, nodes), make([]float64, nodes)
	var y, x int64
	for i := range lat {
		y, x = y+r.signed(), x+r.signed()
		lat[i], lng[i] = float64(y)/degree, float64(x)/degree
	}
	edges := make([]Edge, count)
	a := 0
	for i := range edges {
		a += r.number(nodes)
		b := a + r.number(nodes)
		size := r.number(1 << 30)
		edges[i] = Edge{a, b, size >> classBits, Class(size & classMask)}
		r.bad = r.bad || a >= b || b >= nodes
	}
	if r.bad || len(r.data) != 0 {
		return nil, ErrFormat
	}
	return New(lat, lng, edges), nil
}

// reader takes numbers off the front of the data. Once it is bad all are 0.
type reader struct {
	data []byte
	bad  bool
}

func (r *reader) signed() int64 {
	n, size := binary.Varint(r.data)
	return r.taken(n, size)
}

// number is one that must be below limit.
func (r *reader) number(limit int) int {
	n, size := binary.Uvarint(r.data)
	if n >= uint64(limit) {
		r.bad = true
	}
	return int(r.taken(int64(n), size))
}

// count is how many records of at least so many bytes follow: never more than
// there are bytes for.
func (r *reader) count(bytes int) int { return r.number(len(r.data)/bytes + 1) }

func (r *reader) taken(n int64, size int) int64 {
	if size <= 0 || r.bad {
		r.bad, r.data = true, nil
		return 0
	}
	r.data = r.data[size:]
	return n
}
