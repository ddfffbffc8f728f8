// Package sheet reads and writes what people keep their lists in: inventory
// sheets as CSV, XLSX or YAML, and wanted lists as YAML.
//
// What it promises:
//
//   - Nothing is silently lost. Every row that is not blank comes back either
//     as a lot or as a bad row; every column that it does not know is named.
//   - Everything wrong with a row is told at once, with its row, its column,
//     what was written and what would be right. One bad row spoils no other.
//   - A row without a tag gets one made from what it says, so that the same
//     sheet read again gives the same tags.
//   - What Write has written, Read reads back as equal lots: all of a lot that a
//     person can enter for YAML, and what the columns can hold for CSV and
//     XLSX. Line ends become "\n", space around a text is dropped, and a figure
//     that a program reckoned out to more than 15 characters is cut there.
//   - A cell that a spreadsheet would take for a formula is written with an
//     apostrophe before it, and read back without.
//   - A workbook is read as it is shown, and its figures to all their digits. A
//     cell that does not hold what somebody wrote (a day made of 3/4, a formula
//     that was not worked out, an error, a figure merged over several rows) is a
//     problem of its row. What unpacks or reaches too far is refused before it
//     fills the memory.
//
// It takes UTF-8, UTF-16 with its mark, and else Windows-1252.
package sheet
