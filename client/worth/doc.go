// Package worth tells what lots may fetch: it holds each against recorded sales
// of the like, shows every sale with how it was adjusted and why, and gives their
// median and quartiles; beside that a floor of what the metal alone would bring
// and what a buyer has to pay to move it.
//
// What it promises:
//
//   - It is a range of recorded sales, and says so. It is no opinion of value by
//     a qualified appraiser, and says when one is needed.
//   - Only prices that were paid count; what is asked does not.
//   - Every adjustment is a line with its factor and its ground, and says where it
//     is a design choice. What is not known is not adjusted for, and is named.
//   - Amounts of different currencies are never mixed. Sales in another currency
//     are left out, and counted.
//   - Too few sales are said to be too few: fewer than three are only listed,
//     three to five give a median and a range, six or more quartiles.
//   - A total is no sum of the lots' quartiles, and does not take the lots for
//     independent either: see Total.
//   - No price of metal, no price of a move and no rate of years is built in.
//   - It is pure: no clock, no disk, no network. The same input gives the same
//     report, to the last bit.
package worth
