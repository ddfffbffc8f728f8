// Package sheet reads and writes what people keep their lists in: inventory
// sheets as CSV or YAML, and wanted lists as YAML.
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
//     person can enter for YAML, and what the columns can hold for CSV. Line
//     ends become "\n", space around a text is dropped, and a figure that a
//     program reckoned out to more than 15 characters is cut there.
//   - A cell that a spreadsheet would take for a formula is written with an
//     apostrophe before it, and read back without.
//
// It takes UTF-8, UTF-16 with its mark, and else Windows-1252.
package sheet
