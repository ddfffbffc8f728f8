// Package chart draws a map of where lots are: coasts, lakes and borders, the
// seeker's town, how far one gets by road, and a mark for every town that has
// lots, sized by how well the best of them fits.
//
// What it promises:
//
//   - Only town points are drawn: it is given no others, and asks for none.
//   - Everything that the drawing says stands in its title, its description and
//     the list beneath it in words too, and nothing hangs on colour alone.
//   - The drawing asks for nothing from outside itself.
//   - It is pure: the same map makes the same drawing, byte for byte.
package chart
