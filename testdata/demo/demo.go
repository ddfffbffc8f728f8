// Package demo holds the demo scenario: an invented printer's shop, two more,
// and three wanted lists, as the sheets that people would write. README.md
// beside it says what each file is.
package demo

import "embed"

// FS is the scenario's sheets and wanted lists, at the top of the tree under
// their own names, so that the demo also runs from an installed program.
//
//go:embed *.yaml *.csv
var FS embed.FS
