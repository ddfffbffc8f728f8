// Package walk asks a person who goes through a shop what there is, one lot at a
// time, in plain lines of text, and makes a sheet of the answers.
//
// What it promises:
//
//   - An answer that was taken is on the disk before the next question is asked:
//     it stands in a journal beside the sheet, which is only ever added to. A
//     walk that was broken off, in whatever way, goes on where it was.
//   - A sheet is written whole or not at all, and never over one that somebody
//     has changed meanwhile.
//   - Every answer is read as a sheet reads it. One that is wrong is told, with
//     what would be right, and asked again.
//   - It needs no network, and no terminal: lines in, lines out.
package walk
