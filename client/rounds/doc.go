// Package rounds plans the pick-up rounds of a shop: who comes on which day with
// what vehicle, what goes on it and in which order, and what people and gear that
// takes.
//
// What it promises:
//
//   - Every lot that is given to a caller is on a round of theirs, or is named as
//     too much for their vehicle: none is lost.
//   - No round is planned beyond the payload that its caller has told of. What goes
//     on one vehicle, and when riggers are called, is what the moving brief says.
//   - No more callers come on a day than are wished, and nobody sooner again than
//     they can be back. A round that comes after the clear-by day is named as late.
//   - It is pure: no clock, no disk, no network. The same input gives the same plan.
//
// Days are given by the earliest due date first (Jackson's rule, 1955, from memory):
// where no caller comes twice and all are free on all days, no other order would be
// late less. Where they are due on the same day, those come first who take boxes and
// cases, which clears the way for the machines: common practice, without a source.
package rounds
