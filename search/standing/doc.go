// Package standing holds the filters of a million wants in memory, so that a lot
// finds those it meets without looking at the others.
//
// Every want is filed once under what is rarest of what it asks: the word that
// the fewest other wants ask for; failing words its classes, or its kinds, or its
// shop; failing all of them nothing. Where many wants share that, each is filed
// under it together with where it looks: every S2 cell of a covering of its
// circle, or its regions, or nowhere in particular. A lot looks under its own
// words, class, kind and shop, together with the cells that hold its town, and
// judges what it finds there.
//
// What it promises:
//
//   - Meeting tells exactly those wants whose filter search.Filter.Admits the
//     lot. A filter that says what this package does not know of is kept whole,
//     and asked itself.
//   - Contracts are not held, only what decides: see the benchmarks for how much
//     that is.
//   - It is pure: no clock, no disk, no network.
//
// It stands apart from package alerts so that the keeper's side can ask it too,
// and so that it can be held against search.Matches without a store.
package standing
