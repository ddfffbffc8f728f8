// Package form holds the questions about a printing shop that people who have
// never printed can answer, kind by kind, with drawings of what to measure, and
// a checklist for a family that has to clear one.
//
// What it promises:
//
//   - Every question names the key of a sheet that its answer fills, and its
//     example is an answer that the sheet's reader takes.
//   - A page asks nothing of the network. Its drawings are drawn here, in SVG,
//     each with a title and a description in words.
//   - Every fact of the trade in the checklist says what it rests on.
package form
