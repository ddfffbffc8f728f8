// Package lots makes plausible shops full of lots, as many as a benchmark wants,
// out of an invented vocabulary and real towns.
//
// What it promises:
//
//   - The same options give the same shops, always: nothing here looks at a
//     clock, at the disk or at anything random but the seed.
//   - A shop is made when it is asked for, and from its number alone: a million
//     lots are never in memory at once, and any shop can be made without those
//     before it.
//   - Every lot passes the checks of the contract. Every make, model, face and
//     shop is invented; towns are those of the gazetteer, the likelier the more
//     people live there.
package lots

import (
	"iter"
	"math"
	"math/rand/v2"
	"strconv"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
)

// mostInShop is the most lots that a shop has.
const mostInShop = 500

// Shop is a shop as it is posted, and what is in it.
type Shop struct {
	// Shop is what to open it with.
	Shop *pb.Shop
	// Lots are what to post into it, in this order.
	Lots []*pb.Lot
	// Later are the states that lots have come to since, beside Lots:
	// unspecified where a lot is still as it was posted.
	Later []pb.LotState
	// Town is where it is.
	Town place.Town
}

// Generator makes shops. It may be used by many goroutines at once.
type Generator struct {
	seed  uint64
	towns *towns
}

// New is a generator; each seed makes other shops.
func New(seed uint64) *Generator { return &Generator{seed: seed, towns: gazetteer()} }

// Shops gives shops one after the other, until there are so many lots in all:
// of the last shop only as many as are wanted.
func (g *Generator) Shops(lots int) iter.Seq[*Shop] {
	return func(yield func(*Shop) bool) {
		for number := 0; lots > 0; number++ {
			shop := g.Shop(number)
			if len(shop.Lots) > lots {
				shop.Lots, shop.Later = shop.Lots[:lots], shop.Later[:lots]
			}
			lots -= len(shop.Lots)
			if !yield(shop) {
				return
			}
		}
	}
}

// Shop makes the shop of a number, from 0 on; no two have the same title.
func (g *Generator) Shop(number int) *Shop {
	d := g.dice(uint64(number))
	town := g.towns.draw(d)
	shop := &Shop{Town: town, Shop: &pb.Shop{
		Title: shopTitle(d, number, town), Place: town.Label(), Story: d.sentences(1 + d.IntN(3)), Access: pick(d, accesses),
	}}
	for n := range shopSize(d) {
		lot := d.lot(town)
		lot.Tag = strconv.Itoa(n + 1)
		shop.Lots = append(shop.Lots, lot)
		shop.Later = append(shop.Later, d.later(lot))
	}
	return shop
}

func (g *Generator) dice(number uint64) *dice { return newDice(g.seed, number) }

// shopSize is how many lots a shop has: most have some tens, a few have
// hundreds.
func shopSize(d *dice) int {
	n := math.Exp(3.7 + 0.9*d.NormFloat64())
	return max(1, min(mostInShop, int(n)))
}

// shopTitle is a title that no other number has.
func shopTitle(d *dice, number int, town place.Town) string {
	own := capital(Word(number % wordsFromShops))
	if round := number / wordsFromShops; round > 0 {
		own += " " + strconv.Itoa(round+1)
	}
	switch d.IntN(4) {
	case 0:
		return "The " + own + " Press"
	case 1:
		return own + " & " + capital(d.rareWord()) + ", printers"
	case 2:
		return own + " Printing Works, " + town.Name
	}
	return own + " Imprint"
}

var accesses = []string{
	"Ground floor, double doors.", "Basement, twelve steps, no lift.", "First floor; goods lift to the yard.",
	"Garage with a level drive.", "Barn; the floor is soft after rain.", "",
}

// Dice is a source of chance for whoever draws searches from the same
// vocabulary: each seed and stream is a sequence of its own.
func Dice(seed, stream uint64) *rand.Rand { return newDice(seed, stream).Rand }

// dice draws what a lot is made of.
type dice struct {
	*rand.Rand
	tail *rand.Zipf
}

func newDice(seed, stream uint64) *dice {
	r := rand.New(rand.NewPCG(seed, stream))
	return &dice{Rand: r, tail: rand.NewZipf(r, zipfExponent, zipfOffset, vocabularySize-1)}
}

func (d *dice) chance(percent float64) bool { return 100*d.Float64() < percent }

func pick[T any](d *dice, from []T) T { return from[d.IntN(len(from))] }

// weighted is something, and how many times it is drawn beside the others.
type weighted[T any] struct {
	times float64
	what  T
}

func draw[T any](d *dice, from []weighted[T]) T {
	var all float64
	for _, w := range from {
		all += w.times
	}
	at := all * d.Float64()
	for _, w := range from {
		if at -= w.times; at < 0 {
			return w.what
		}
	}
	return from[len(from)-1].what
}
