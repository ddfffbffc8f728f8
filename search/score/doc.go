// Package score tells how well a lot fits a want: a fit of 0 to 100 with a low
// and a high, made of three parts: distance, rigging and completeness.
//
// What it promises:
//
//   - It is pure and the same inputs give the same fit everywhere, to the last
//     bit: no clock, no map order, no randomness.
//   - A fit is never better for a lot that is farther, heavier or less complete,
//     everything else being equal: neither its score nor its low nor its high.
//   - 0 <= low <= score <= high <= 100, and all are finite.
//   - What nobody has said counts neither as zero nor as full: it parts low from
//     high, and however the unknown turns out, the score then lies between them.
//     (To learn the scheme of a fount that was already counted is no such fact:
//     it changes what the count is held against.)
//   - The questions are computed: each is the one whose answers would narrow this
//     fit most.
//
// The three curves are design choices, each stated where it is drawn.
package score
