// Package handover writes the paper that both sides sign when lots change hands:
// what it is, how it is, what is missing, what was paid, under which name it stays
// known and where it may be seen again, and what to beware of.
//
// What it promises:
//
//   - Every lot is on it, once, with all that the registry knows and that matters
//     afterwards; what nobody has said is said to be so, and what only the two sides
//     know is left blank for them to write.
//   - A price is on it only if it was said that it was paid.
//   - The hazards of what is handed over are on it, and, where something is heavy,
//     that professional riggers move it.
//   - It says that it is no legal advice.
//   - It is pure: the same input gives the same paper.
package handover
