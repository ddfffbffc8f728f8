// Package trade knows what things are: kinds and classes, measures, weights,
// what a press can print, founts and their completeness, and the trade's words.
//
// What it promises:
//
//   - It is pure: no clock, no disk, no network. The same input gives the same
//     answer everywhere, to the last bit.
//   - Text is read as people write it, and what could be read two ways is
//     refused with an error that says how to write it. A size without a unit is
//     in inches; 10x15 is never 10 by 15 mm.
//   - Point systems are never mixed silently. A size whose system nobody named
//     keeps it unnamed, and its body in millimetres is then a range.
//   - An estimate is always a range with its basis. A measured or stated figure
//     wins over it; one far outside it is questioned, not refused.
//   - What nobody has said is unknown: neither zero nor full.
//
// Each figure has its grounds beside it, marked as published, from memory,
// common practice, or a design choice of ours. The tests check the published
// ones row by row against testdata/trade.
package trade

// Version is raised whenever a figure that the search index keeps can come out
// differently for the same lot: the range of a weight, or the answer of
// CanPrint. An index built under another version has to be built again.
const Version = 1
