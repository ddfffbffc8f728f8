// Package search finds lots: by words, by what they are, by where they stand.
//
// It has two halves that must always agree. Matches is what a filter means,
// said over one lot; an Index is how the lots that match are found among many,
// and for every filter it finds exactly those. Alerts use the first half and
// searches the second, so both tell a seeker the same.
//
// An Index is derived: it holds nothing that the store does not, and may be
// deleted at any time. What it promises:
//
//   - The change number it has reached is written in the same batch as the
//     lots, so index and number never disagree, whenever the power fails.
//   - A search sees every write up to the change number it answers with.
//   - Pages neither repeat nor skip a lot that did not change in between, but
//     for the best order, where a write may move a lot across a page's edge.
//   - Damage is found by checksum, set aside, and begun afresh from change 0:
//     never a crash. A large index is checked while it is already in use, and
//     the library's small root file only after a clean close.
//
// The way through the code: Read turns a lot into Facts, Compile turns a filter
// into questions about them, Filter.Admits puts the questions to one lot, and
// Index.Search puts them to all lots, first by bitmap, then by column; what is
// left it ranks by the levels of its words (see relevance.go).
package search
