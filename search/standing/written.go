package standing

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/place"
)

// Version is raised with every change of how lists are written, of what a want
// is filed under and of how a circle is covered. What was written under another,
// or under another search.Signature, is stale.
const Version = 1

// Flags of a written want, above those of says.
const (
	writtenWithin = 1 << (8 + iota)
	writtenSheet
	writtenShop
	writtenWhole
)

// Append writes a list that stands: all that Read needs to have it stand again,
// its words and its coverings too. Of one that does not, it writes that.
func (w *Wants) Append(to []byte, list uint64) []byte {
	to = binary.AppendUvarint(to, list)
	number, there := w.lists.numbers[list]
	if !there {
		return binary.AppendUvarint(to, 0)
	}
	to = binary.AppendUvarint(to, uint64(w.lists.all[number].count))
	for n := w.lists.all[number].first; n != 0; n = w.at(n - 1).next {
		to = w.appendWant(to, w.at(n-1))
	}
	return to
}

func (w *Wants) appendWant(to []byte, one *want) []byte {
	more := w.extraOf(one)
	to = binary.AppendUvarint(to, flagsOf(one, more))
	to = append(to, one.filed, one.states)
	to = binary.AppendUvarint(to, uint64(one.kinds))
	to = binary.AppendUvarint(to, one.classes)
	if one.says&saysNear != 0 {
		at := w.points.all[one.at].at
		to = appendFloat(appendFloat(to, at.Lat), at.Lng)
	}
	if one.withinKm != 0 {
		to = appendFloat(to, one.withinKm)
	}
	if one.says&saysMass != 0 {
		to = appendFloat(to, one.mostKg)
	}
	if one.says&saysPrice != 0 {
		to = binary.AppendVarint(binary.AppendVarint(to, one.units), int64(one.nanos))
		to = w.appendTexts(to, one.currency)
	}
	to = w.appendMore(to, one, more)
	return appendCells(to, w.places(one))
}

// areCells tells cells from the numbers of regions and from anywhere: a cell's
// number is never so small.
func areCells(places []uint64) bool { return len(places) > 0 && places[0] > math.MaxUint32+1 }

func flagsOf(one *want, more *extra) uint64 {
	flags := uint64(one.says)
	set := func(yes bool, flag uint64) {
		if yes {
			flags |= flag
		}
	}
	set(one.withinKm != 0, writtenWithin)
	set(more.sheet != nil, writtenSheet)
	set(more.shop != 0, writtenShop)
	set(more.whole != nil, writtenWhole)
	return flags
}

func (w *Wants) appendMore(to []byte, one *want, more *extra) []byte {
	all := append(one.words[:one.count:one.count], more.words...)
	to = w.appendTexts(binary.AppendUvarint(to, uint64(len(all))), all...)
	to = w.appendTexts(binary.AppendUvarint(to, uint64(len(more.regions))), more.regions...)
	if more.shop != 0 {
		to = w.appendTexts(to, more.shop-1)
	}
	if more.sheet != nil {
		to = appendMessage(to, more.sheet)
	}
	if more.whole != nil {
		to = appendMessage(to, more.written)
	}
	return to
}

func (w *Wants) appendTexts(to []byte, numbers ...uint32) []byte {
	for _, n := range numbers {
		text := w.words.all[n].text
		to = append(binary.AppendUvarint(to, uint64(len(text))), text...)
	}
	return to
}

func appendFloat(to []byte, f float64) []byte {
	return binary.LittleEndian.AppendUint64(to, math.Float64bits(f))
}

func appendMessage(to []byte, m proto.Message) []byte {
	wire, err := proto.MarshalOptions{Deterministic: true}.Marshal(m)
	if err != nil {
		wire = nil // Only invalid UTF-8 fails, which no server lets in; Read then refuses it.
	}
	return append(binary.AppendUvarint(to, uint64(len(wire))), wire...)
}

func appendCells(to []byte, cells []uint64) []byte {
	if !areCells(cells) {
		return append(to, 0)
	}
	to = binary.AppendUvarint(to, uint64(len(cells)))
	for _, cell := range cells {
		to = binary.LittleEndian.AppendUint64(to, cell)
	}
	return to
}

// errWritten says that what was written is not what Append writes.
var errWritten = errors.New("standing: a list was not written by this version")

// Read has a list stand as Append wrote it, in place of the one of that number.
// After an error the wants are of no more use.
func (w *Wants) Read(from []byte) error {
	r := &reader{left: from}
	list, count := r.uvarint(), r.uvarint()
	w.Drop(list)
	if count == 0 || count > MostWants {
		return r.end(count <= MostWants)
	}
	number := w.lists.add(list, uint16(count))
	link := &w.lists.all[number].first
	for i := range count {
		n, ok := w.readWant(r, number, uint8(i))
		if !ok {
			return errWritten
		}
		*link = n + 1
		link = &w.at(n).next
	}
	return r.end(true)
}

func (w *Wants) readWant(r *reader, list uint32, ordinal uint8) (uint32, bool) {
	flags := r.uvarint()
	one := want{list: list, ordinal: ordinal, says: says(flags & 0xff)}
	one.filed, one.states = r.byte(), r.byte()
	one.kinds, one.classes = uint16(r.uvarint()), r.uvarint()
	if one.says&saysNear != 0 {
		one.at = w.points.use(place.Point{Lat: r.float(), Lng: r.float()})
	}
	if flags&writtenWithin != 0 {
		one.withinKm = r.float()
	}
	if one.says&saysMass != 0 {
		one.mostKg = r.float()
	}
	if one.says&saysPrice != 0 {
		one.units, one.nanos = r.varint(), int32(r.varint())
		one.currency = w.words.useBytes(r.bytes())
	}
	more := w.readMore(r, flags, &one)
	cells := r.cells()
	if r.failed || more.whole == nil && flags&writtenWhole != 0 || !filedRight(&one, &more) {
		return 0, false
	}
	n := w.keep(one, more)
	w.file(n, w.at(n), w.placesAgain(w.at(n), cells))
	return n, true
}

// filedRight tells whether what a want is filed under is there.
func filedRight(one *want, more *extra) bool {
	if one.filed <= lastWord {
		return int(one.filed) < int(one.count)+len(more.words)
	}
	return one.filed >= underNothing
}

func (w *Wants) readMore(r *reader, flags uint64, one *want) (more extra) {
	for i := range r.uvarint() {
		if r.failed {
			return more
		}
		if n := w.words.useBytes(r.bytes()); i < uint64(len(one.words)) {
			one.words[i], one.count = n, one.count+1
		} else {
			more.words = append(more.words, n)
		}
	}
	for range r.uvarint() {
		if r.failed {
			return more
		}
		more.regions = append(more.regions, w.words.useBytes(r.bytes()))
	}
	if flags&writtenShop != 0 {
		more.shop = w.words.useBytes(r.bytes()) + 1
	}
	if flags&writtenSheet != 0 {
		more.sheet = new(pb.Rectangle)
		r.message(more.sheet)
	}
	if filter := new(pb.LotFilter); flags&writtenWhole != 0 && r.message(filter) {
		more.whole, more.written = search.Compile(filter), filter
	}
	return more
}

// placesAgain are the places of a want that was read: its cells are those that
// were written, but the numbers of regions are others now.
func (w *Wants) placesAgain(one *want, cells []uint64) []uint64 {
	if areCells(cells) {
		return cells
	}
	if regions := w.extraOf(one).regions; one.says&saysPlaced != 0 && len(regions) > 0 {
		return regionPlaces(regions)
	}
	return []uint64{anywhere}
}

// reader reads what Append wrote, and remembers if it cannot.
type reader struct {
	left   []byte
	failed bool
}

func (r *reader) take(n uint64) []byte {
	if n > uint64(len(r.left)) {
		r.failed, r.left = true, nil
		return nil
	}
	taken := r.left[:n]
	r.left = r.left[n:]
	return taken
}

func (r *reader) byte() byte {
	if b := r.take(1); b != nil {
		return b[0]
	}
	return 0
}

func (r *reader) uvarint() uint64 {
	n, size := binary.Uvarint(r.left)
	if size <= 0 {
		r.failed = true
		return 0
	}
	r.take(uint64(size))
	return n
}

func (r *reader) varint() int64 {
	n, size := binary.Varint(r.left)
	if size <= 0 {
		r.failed = true
		return 0
	}
	r.take(uint64(size))
	return n
}

func (r *reader) bytes() []byte { return r.take(r.uvarint()) }

func (r *reader) word() uint64 {
	if b := r.take(8); b != nil {
		return binary.LittleEndian.Uint64(b)
	}
	return 0
}

func (r *reader) float() float64 { return math.Float64frombits(r.word()) }

func (r *reader) cells() []uint64 {
	n := r.uvarint()
	if n > uint64(len(r.left)/8) {
		r.failed = true
		return nil
	}
	cells := make([]uint64, n)
	for i := range cells {
		cells[i] = r.word()
	}
	return cells
}

func (r *reader) message(into proto.Message) bool {
	wire := r.bytes()
	if err := proto.Unmarshal(wire, into); err != nil || len(wire) == 0 {
		r.failed = true
	}
	return !r.failed
}

// end tells whether all was read, and rightly.
func (r *reader) end(rightly bool) error {
	if r.failed || !rightly || len(r.left) > 0 {
		return fmt.Errorf("%w: %d bytes left over", errWritten, len(r.left))
	}
	return nil
}
