// Package rigging writes the moving brief: what a load weighs and in which
// pieces, what of it can be carried, rolled and slung, how it is lashed, on what
// vehicle and in how many trips, which way it goes, what to strip, what to beware
// of, and when to call professional riggers.
//
// What it promises:
//
//   - It is pure: no clock, no disk, no network. The same load and site give the
//     same brief, to the last bit.
//   - It never says that something is safe or allowed. A brief prints every
//     caution, once, whatever the load; it says what the method does not cover,
//     and defers to local codes and licensed practice.
//   - Unknown is not zero: what nobody has said becomes a question, and a figure
//     that rests on a guess says so.
//   - It plans with the upper end of every range.
//   - No firm, maker or product is named.
//
// The figures are those of published methods, each named where it is used: the
// revised lifting equation (NIOSH 94-110), cargo securement (49 CFR 393, read in
// the 2015 edition: check today's text), angle factors of slings, uniform design
// loads of floors. What is common practice, or a design choice of ours, says so
// beside the figure. The tests check them against testdata/rigging.
package rigging
