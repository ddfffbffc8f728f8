// Package rehome draws up the placement plan of a shop: which of its lots should
// go to which wanted list, so that as many as can be find a home that suits them.
//
// What it promises:
//
//   - No lot is given twice, no want is met twice, and nobody is given more than
//     their purse and their vehicle take, or what they cannot fetch before the
//     clear-by day.
//   - Every wish of the keeper is kept. What a wish costs is told.
//   - A plan never comes to fewer points than taking the best pair first, again
//     and again. The bound that it carries holds whatever happens: where it equals
//     the plan's points, no plan under the same wishes comes to more.
//   - Whatever finds no home is named, with why and what to do.
//   - It is pure: no clock, no disk, no network. The same input gives the same
//     plan, unless it was stopped before it was done.
//
// A plan is a proposal. The keeper decides.
//
// Points are whole. A lot that finds a home counts the points of a home, by design
// 50, and its fit, 0 to 100, rounded. How important a want is to the seeker does
// not count: lots do not go to whoever calls loudest.
//
// The method is branch and price (Barnhart and others, 1998; for the generalized
// assignment problem Savelsbergh, 1997; both from memory): see solver.
package rehome
