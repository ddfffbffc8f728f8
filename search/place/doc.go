// Package place tells where things are: it finds the town that a person means,
// the distance between two points, and about how far that is by road.
//
// It needs no network and reads no files. A gazetteer of about 150,000 towns is
// part of the program: North America and Europe down to villages of 500 people
// (1,000 where villages are very many), with every place in the United States
// that has its own ZIP code; Australia and New Zealand down to 1,000; and the
// rest of the world's towns of 50,000. Its sources and licence are in
// Attribution.
//
// Ways by road are found in a graph of towns, which knows of water, great roads,
// bridges and ferries, and how rough the land is, but not of the roads as they
// lie: so each comes with a range. How far off they are, TestRoadTable prints.
//
// What it promises:
//
//   - The same question has the same answer, always: nothing here looks at a
//     clock, a setting or a language.
//   - Find never guesses between towns of like size. It answers with one town,
//     or with the choices, or with the nearest spellings.
//   - A town's Label leads Find back to that town.
//   - Every point in a Town is a point in the gazetteer, or is rounded to a
//     tenth of a degree: a private address given as coordinates does not come out
//     again.
//   - A way by road is the same from either end, to the last bit, and no shorter
//     than the great circle times MinCircuity.
//   - Everything may be called from many goroutines at once.
package place
